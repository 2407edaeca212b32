"""Computes the light of a planned night exterior and shows it as the camera would see it."""

__version__ = "0.1.0"
