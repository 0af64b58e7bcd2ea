"""Computed cures: which one parameter of the script, set to what, makes a finding hold."""
