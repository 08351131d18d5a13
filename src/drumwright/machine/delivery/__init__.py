"""Where the product goes, and what that asks of the line."""
