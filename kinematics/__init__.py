"""The car: measured points in, what every solved position means out."""

from kinematics.car import LEFT, RIGHT, Axle, Car
from kinematics.sweeps import Sweep, stances, sweep_bump, sweep_grid, sweep_roll

__all__ = ["LEFT", "RIGHT", "Axle", "Car", "Sweep", "stances", "sweep_bump", "sweep_grid", "sweep_roll"]
