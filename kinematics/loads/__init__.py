"""What geometry does to loads: springs and bars, ride height, lean, load transfer and balance. Newtons, mm, kg."""
