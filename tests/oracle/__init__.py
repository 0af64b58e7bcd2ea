"""Second opinions that share no geometry with the package. See `judge` and `spoil`."""
