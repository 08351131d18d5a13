"""What is moved: flow curve, fit, temperature, one-point band, particles, rest and restart."""
