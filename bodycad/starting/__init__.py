"""The first script of a design, written from a few answers."""
