"""A report on paper: what it holds, as one record, and what writes that as HTML and as PDF."""
