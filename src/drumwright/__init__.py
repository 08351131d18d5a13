"""drumwright: empty drums of thick product into a line, from a vague enquiry to a defensible proposal."""

__version__ = "0.1.0"
