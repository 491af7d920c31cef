"""How an axle fares against its limits, and what looks like a slip."""
