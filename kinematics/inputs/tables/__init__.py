"""Tables of points and of doubt (CSV)."""
