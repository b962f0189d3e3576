"""The equations, in SI floats and arrays. One module per physical subject."""
