"""Families: what the script knows of each kind of piece besides its keys."""

from __future__ import annotations

from preview.script.families.family import UP, Family, Named
from preview.script.families.growth import GROWTH
from preview.script.families.house import HOUSES
from preview.script.families.runs import RUNS
from preview.script.families.things import THINGS
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor


def _places_of_ground(name: str, ground: Ground, azimuth: float) -> Named:
    yield name, Anchor((*ground.at, ground.height), UP, ground.size)


FAMILIES: dict[type[Piece], Family] = {
    Ground: Family(_places_of_ground),
    **HOUSES,
    **GROWTH,
    **RUNS,
    **THINGS,
}
