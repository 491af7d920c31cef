"""What to turn, and to measure, to set a car up as a plan has it; and what came out."""
