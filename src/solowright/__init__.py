"""Solowright: work out, finger, explain, engrave and sound an electric-guitar solo."""

__version__ = "0.1.0"
