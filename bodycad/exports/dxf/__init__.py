"""DXF drawings: written, annotated, read back and judged."""
