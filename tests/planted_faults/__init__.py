"""Faults of one line, planted in a copy of the tree, and whether the tests that concern them notice."""
