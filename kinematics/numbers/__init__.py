"""What solved positions mean: every reported number, and how it is read."""
