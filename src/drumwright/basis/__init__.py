"""Quantities and units at the edge, estimates, sourced tables, findings, phrases, errors. No physics."""
