"""Practicals as the script gives them: sources that may be seen in frame."""

from __future__ import annotations

from typing import Literal

from preview.script.fields import Amount, At, Facing, Kelvin, Model, Positive


class Practical(Model):
    """A source that may be seen in frame, with its true luminance."""

    kind: Literal["bulb", "lantern", "street_lamp", "tube", "window", "candle"]
    at: At
    """A place; for a window, the name of one (`house.window[0]`)."""
    watts: Amount | None = None
    lumens: Amount | None = None
    luminance: Amount | None = None
    """cd/m2, for a lit window."""
    kelvin: Kelvin | None = None
    lamp: str | None = None
    """What light is made with, a name of the catalogue's spectra, such as `mercury` in a street lamp. Default by kind."""
    size: Positive | None = None
    """Diameter of a bulb, lantern or lamp glass; length of a tube; height of a flame. Default by kind."""
    facing: Facing | None = None
    """For a tube: the way it runs."""
