"""Colours of every picture and document: neutral, told apart without colour vision, legible in grey print."""

from __future__ import annotations

FONT = "Liberation Sans"
INK = "#1d2733"
QUIET = "#5b6672"
LINE = "#b9c0c8"
PAPER = "#ffffff"
STEEL = "#e3e7eb"
PRODUCT = "#d9b98c"
LIMIT = "#8f1d2c"
SEASON = {"winter": "#1f5a92", "norm": "#a35a00", "summer": "#4d6b3c", "given": "#1f5a92"}
DASH = {"winter": [1, 0], "norm": [6, 3], "summer": [2, 2], "given": [1, 0]}
PUMP = "#3a3f47"
