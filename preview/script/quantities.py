"""Quantities as people write them, turned into the units used inside; each raises ValueError in words.

Inside: metres, radians, kelvin, fractions (1 = 100 %), lux. Focal lengths and formats stay in mm.
"""
# STUB SIGNATURES: the script room fills these in.

from __future__ import annotations


def length(value: object) -> float:
    """Metres from a bare number (metres), `80 cm`, `35 mm`, `12 ft`, `5 ft 6 in`, `6 in`. Finite."""
    raise NotImplementedError


def millimetres(value: object) -> float:
    """Millimetres from a bare number (mm) or a length with a unit."""
    raise NotImplementedError


def angle(value: object) -> float:
    """Radians from a bare number (degrees), `38 deg`, `38°`, `0.66 rad`."""
    raise NotImplementedError


def kelvin(value: object) -> float: raise NotImplementedError  # noqa: E704
def level(value: object) -> float: raise NotImplementedError  # noqa: E704  bare = per cent; `60 %`, `-1.5 stops`
def stops(value: object) -> float: raise NotImplementedError  # noqa: E704  bare or `1.5 stops`
def illuminance(value: object) -> float: raise NotImplementedError  # noqa: E704  bare lux, `lx`, `lux`, `fc`
def mired(value: object) -> float: raise NotImplementedError  # noqa: E704  bare or `+30 mired`
def is_angle(value: object) -> bool: raise NotImplementedError  # noqa: E704  number, or text that reads as an angle


def rectangle(value: object) -> tuple[float, float]:
    """Width and height in metres from `12x12 ft`, `18x24 in`, `1.2 x 0.6 m`, or a list of two lengths."""
    raise NotImplementedError
