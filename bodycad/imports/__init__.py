"""Outlines from drawings: DXF, SVG and lists of points, read, chained, placed and fitted."""
