"""Plans: an axle taken apart, changed, put together and aligned again, held against rules, and compared."""
