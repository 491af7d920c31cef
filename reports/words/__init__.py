"""Records put into words."""
