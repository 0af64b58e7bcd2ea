"""Where wires and grounds can be drilled: straight holes that a drill on hand really makes."""
