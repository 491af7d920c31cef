"""The survey file."""
