"""Reading text whole, checking it, and telling its faults."""
