"""The car as measured: points, wheels, springs, limits, and how well each is known."""
