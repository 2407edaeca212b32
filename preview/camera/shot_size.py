"""Shot size: the trade's word for how much of a figure the frame takes in."""

from __future__ import annotations

CUTS: tuple[tuple[float, str], ...] = (
    (0.125, "extreme close-up"),
    (0.22, "close-up"),
    (0.34, "medium close-up"),
    (0.53, "medium shot"),
    (0.96, "medium long shot"),
)
"""Where the frame's lower edge cuts a standing figure, as a share of its height from the crown down, and the name
of a shot that is cut there or above. The cuts lie about halfway between the places that give the shots their names:
chin 0.13, shoulders 0.18, chest 0.27, waist 0.40, mid-thigh to knees 0.60 to 0.72, feet 1.
Source: the names are common practice, no single source; body proportions after Drillis and Contini 1966
(chin 0.13, shoulders 0.182, hips 0.47, knees 0.715 of height below the crown), from memory.
"""
LONG = 0.5
"""A figure seen whole that fills less than this share of the frame's height is a long shot; more is a full shot."""
EXTREME_LONG = 0.2

COWBOY = (0.53, 0.76)
"""The part of the medium long shot that is cut at the thigh."""


def shot_size(*, taken_in: float, fills: float, whole: bool) -> str:
    """The shot's name.

    `taken_in`: share of the figure's standing height from the crown down to where the frame cuts it (> 0);
    `fills`: the figure's height as a share of the frame's height where it stands; `whole`: whether crown and
    feet are both in frame.
    """
    if whole:
        return "extreme long shot" if fills < EXTREME_LONG else "long shot" if fills < LONG else "full shot"
    for most, name in CUTS:
        if taken_in <= most:
            cowboy = name == "medium long shot" and COWBOY[0] < taken_in <= COWBOY[1]
            return f"{name} (cowboy)" if cowboy else name
    return "full shot"
