"""The proportions of a figure: where its face, eyes, chest and feet are, standing or sitting.

Builders and named places share them. Fractions of stature, from memory of anthropometric tables (adults):
eye height 0.936, chest 0.72; sitting, the eyes are 0.46 of stature above the seat.
"""

from __future__ import annotations

from math import cos, sin

from preview.script.models.cast import Figure

EYES = 0.936
FACE = 0.92
CHEST = 0.72
EYES_ABOVE_SEAT = 0.46
FACE_FORWARD = 0.070
"""Of stature, from the axis of the body to the skin on the bridge of the nose."""
CHEST_FORWARD = 0.058
"""Of stature, from the axis of the body to the front of the clothes."""
EYES_FORWARD = 0.09
"""Metres from the axis of the body to just before the eyes."""
FEET_FORWARD_SITTING = 0.24
"""Of stature; the feet of a sitting figure stand before the seat. `at` is the axis of the body, on the seat."""


def drop(figure: Figure) -> float:
    """How much lower the head is than when standing, metres; 0 for a standing figure."""
    if figure.pose == "stand":
        return 0.0
    return EYES * figure.height - (figure.seat + EYES_ABOVE_SEAT * figure.height)


def top(figure: Figure) -> float:
    """Height of the crown of the head above the ground of the scene, metres."""
    return figure.height_of_ground + figure.height - drop(figure)


def points(figure: Figure, azimuth: float) -> dict[str, tuple[float, float, float]]:
    """World points of `middle` (in the body, at chest height), `face`, `eyes`, `chest`, `feet`; facing in radians."""
    lowered = figure.height_of_ground - drop(figure)
    forward_of_feet = 0.0 if figure.pose == "stand" else FEET_FORWARD_SITTING * figure.height

    def at(forward: float, height: float) -> tuple[float, float, float]:
        return figure.at[0] + forward * sin(azimuth), figure.at[1] + forward * cos(azimuth), height

    return {
        "middle": at(0.0, lowered + CHEST * figure.height),
        "face": at(FACE_FORWARD * figure.height, lowered + FACE * figure.height),
        "eyes": at(EYES_FORWARD, lowered + EYES * figure.height),
        "chest": at(CHEST_FORWARD * figure.height, lowered + CHEST * figure.height),
        "feet": at(forward_of_feet, figure.height_of_ground),
    }
