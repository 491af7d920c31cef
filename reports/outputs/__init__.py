"""What is written to disk."""
