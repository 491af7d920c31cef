"""What is drawn."""
