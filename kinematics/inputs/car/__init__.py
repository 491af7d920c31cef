"""The car file."""
