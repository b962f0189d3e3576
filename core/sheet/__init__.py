"""What the printed sheet says: content as values, without any layout."""
