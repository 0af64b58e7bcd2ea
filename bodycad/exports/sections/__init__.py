"""Upright sections: which, as numbers, and drawn."""
