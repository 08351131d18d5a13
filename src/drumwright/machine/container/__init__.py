"""What the product comes in: shape, fit, collapse."""
