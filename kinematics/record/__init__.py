"""A car's dated states, and what changed from one to another."""
