"""The inputs beside the plane: the shared application and the candidates side by side."""
