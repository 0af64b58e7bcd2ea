"""Exact and bounded distances between solids."""
