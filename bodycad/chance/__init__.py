"""The chance that a body comes out right: all tolerances carried through every finding."""
