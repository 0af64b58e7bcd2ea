"""The solids that leave the wood, and the outside of a workpiece."""
