"""Outlines from drawings: DXF, SVG and lists of points, read, chained, scaled, placed and fitted."""
