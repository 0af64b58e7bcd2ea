"""The page of the cut order: set-ups, steps, stops, the blank's drawing."""
