"""From the duty to the candidates worth looking at, over whole parts files."""
