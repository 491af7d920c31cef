"""From tape readings, heights, angles and plumb lines to a car's points, with their doubt."""
