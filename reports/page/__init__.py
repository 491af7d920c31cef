"""A page at which a car is looked at and changed, in a browser on the same machine."""
