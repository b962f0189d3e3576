"""Charts as values: what is drawn, in SI units, before anyone decides on what it is drawn."""
