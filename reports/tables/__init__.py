"""What is told in the terminal."""
