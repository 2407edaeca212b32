"""Fixtures as the script gives them: one lighting unit as placed, and what it shines through.

A fixture is exactly one of: `head` (from the catalogue, or described in place), `moon`, `sky`, `practical`.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Any

from pydantic import Field

from preview.script.fields import Angle, At, Kelvin, Level, Model, Name, Yes
from preview.script.models.heads import Head, Mixed
from preview.script.models.practicals import Practical
from preview.script.models.sky import Moon, Sky
from preview.script.models.through import Through


def _or_real(shown: dict[str, Any]) -> None:
    """A moon may be the one word."""
    shown["anyOf"] = [{"const": "real"}, *shown["anyOf"]]


class Fixture(Model):
    name: Name
    head: str | Head | None = None
    moon: Annotated[Moon | None, Field(json_schema_extra=_or_real)] = None
    sky: Sky | None = None
    practical: Practical | None = None
    motive: str | None = None
    """What in the story a head's light comes from: moon, sky, the name of a practical or of a place. Default: none told."""
    at: At | None = None
    aim: At | None = None
    level: Level = 1.0
    flood: Annotated[Level, Field(le=1)] = 1.0
    """Where a head that can be focused stands between spot, 0, and full flood."""
    lens: str | None = None
    """Of a head with a set of lenses, which one. Default: the one that its row calls usual."""
    turn: Annotated[Angle, Field(ge=-pi, le=pi)] = 0.0
    """How far a head is turned about its beam, clockwise as the light goes: a panel upright is at 90 degrees."""
    kelvin: Kelvin | None = None
    """Of the light as it is, at its level: a head set to it, or a lamp dimmed to it. Default: the head's own."""
    mix: Mixed | None = None
    """For a head of several colours of light."""
    through: list[Through] = Field(default=[], max_length=12)
    stand: Yes = True
    """Whether a head stands on a stand from the ground, or is rigged from elsewhere."""
    cheat: str | None = None
    """Of a setup alone: why what it changes of this fixture is meant, in a few words. It is printed with what it does."""
    added: Yes = False
    """Of a setup alone: yes for a fixture that is there in this setup and in no other."""
