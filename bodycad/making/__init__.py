"""How a layout is made: with which tools, in which order, from which stock."""
