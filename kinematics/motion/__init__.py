"""How an axle moves: its linkage solved at any wheel travel, and the ground under it."""
