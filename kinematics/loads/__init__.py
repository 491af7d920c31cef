"""What geometry does to loads: springs and bars, ride height, lean, load transfer, balance. Newtons, mm, kg."""
