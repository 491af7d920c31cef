"""What is written down in the garage after a car was measured."""
