"""Laws of thick-product flow in any passage: pure functions on SI floats and arrays."""
