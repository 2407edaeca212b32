"""Practicals as the script gives them: sources that may be seen in frame."""

from __future__ import annotations

from typing import Literal

from preview.script.fields import Amount, At, Facing, Kelvin, Model, Positive


class Practical(Model):
    """A source that may be seen in frame, with its true luminance."""

    kind: Literal[
        "bulb",
        "lantern",
        "street_lamp",
        "tube",
        "window",
        "candle",
        "fire",
        "string",
        "headlamp",
        "main_beam",
        "tail_lamp",
        "brake_lamp",
    ]
    """`headlamp` is a dipped beam, for traffic on the right; `string` all bulbs of a string as one."""
    at: At
    """Of what glows; for a fire, where it stands; for a window, the name of one (`house.window[0]`); for a string, the
    name of its piece; for a vehicle's lamp its place, such as `car.head.left`."""
    watts: Amount | None = None
    """What the lamp draws; of a candle or a fire, the heat of its flame. Its lumens follow, where they are not given. Of
    a string, both are each bulb's."""
    lumens: Amount | None = None
    luminance: Amount | None = None
    """cd/m2, for a lit window or the flames of a fire."""
    kelvin: Kelvin | None = None
    lamp: str | None = None
    """What light is made with, a name of the catalogue's spectra, such as `mercury` in a street lamp. Default by kind."""
    size: Positive | None = None
    """Diameter of a bulb, lantern or lamp glass; length of a tube; height of flames. Default by kind."""
    facing: Facing | None = None
    """For a tube: the way it runs. For a vehicle's lamp that is not at a place of one: the way it shines."""
