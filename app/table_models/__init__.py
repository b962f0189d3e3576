"""Models behind tables and lists: what views show, as text and values by row and column."""
