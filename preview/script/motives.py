"""Motives: what in the story each light comes from: the moon, the sky, a practical, or what a head is said to play."""

from __future__ import annotations

from preview.script.models.fixtures import Fixture

MOON = "moon"
SKY = "sky"


def motive_of(fixture: Fixture) -> str | None:
    """`moon`, `sky`, the name of a practical or of a place; None for a head of which nothing is told."""
    if fixture.moon is not None:
        return MOON
    if fixture.sky is not None:
        return SKY
    return fixture.name if fixture.practical is not None else fixture.motive
