"""What carries the plate: mast, arm, reach, height."""
