"""The instrument over the body: strings, frets, neck, heights and loads, as numbers only."""
