"""Lines, arcs and closed profiles in the plane."""
