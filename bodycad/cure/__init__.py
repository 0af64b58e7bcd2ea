"""Cures that are computed: which one parameter of the script, set to what, makes a finding hold, proven by a re-run."""
