"""Plan and shelf files."""
