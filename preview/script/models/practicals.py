"""Practicals as the script gives them: sources that may be seen in frame."""

from __future__ import annotations

from typing import Literal

from preview.script.fields import Amount, At, Facing, Kelvin, Model, Positive


class Practical(Model):
    """A source that may be seen in frame, with its true luminance."""

    kind: Literal["bulb", "lantern", "street_lamp", "tube", "window", "candle", "fire"]
    at: At
    """Of what glows; for a fire, where it stands; for a window, the name of one (`house.window[0]`)."""
    watts: Amount | None = None
    """What the lamp draws; of a candle or a fire, the heat of its flame. Its lumens follow, where they are not given."""
    lumens: Amount | None = None
    luminance: Amount | None = None
    """cd/m2, for a lit window or the flames of a fire."""
    kelvin: Kelvin | None = None
    lamp: str | None = None
    """What light is made with, a name of the catalogue's spectra, such as `mercury` in a street lamp. Default by kind."""
    size: Positive | None = None
    """Diameter of a bulb, lantern or lamp glass; length of a tube; height of flames. Default by kind."""
    facing: Facing | None = None
    """For a tube: the way it runs."""
