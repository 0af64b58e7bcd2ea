"""The questions, one family a file."""
