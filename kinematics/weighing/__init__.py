"""A car on four scales: where its weight is, and how well that is known."""
