"""A logged run against the prediction (not built yet)."""
