"""What a declaration may ask of a value."""
