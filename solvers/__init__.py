"""Numerics of moving linkages: mechanisms, their equations, Newton, paths, planar closed forms."""
