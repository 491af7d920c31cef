"""Finding plans: which changes, and by how much, hold all limits within the means at hand."""
