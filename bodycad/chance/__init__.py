"""The chance that a body comes out right: the shop's and the parts' tolerances carried through every finding."""
