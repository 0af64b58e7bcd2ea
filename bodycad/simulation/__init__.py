"""What cutting leaves of a blank, on a grid of heights."""
