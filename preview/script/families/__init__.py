"""Families: what the script knows of each kind of piece besides its keys."""

from __future__ import annotations

from preview.script.document import Keys
from preview.script.families.camp import CAMP
from preview.script.families.family import UP, Family, Found, Named
from preview.script.families.growth import GROWTH
from preview.script.families.house import HOUSES
from preview.script.families.imported import IMPORTED
from preview.script.families.market import MARKET
from preview.script.families.runs import RUNS
from preview.script.families.shops import SHOPS
from preview.script.families.things import THINGS
from preview.script.families.vehicles import VEHICLES
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor


def _places_of_ground(name: str, ground: Ground, azimuth: float) -> Named:
    yield name, Anchor((*ground.at, ground.height), UP, ground.size)


def _misfits_of_ground(ground: Ground, keys: Keys) -> Found:
    from_picture = isinstance(ground.heights, str)
    if ground.relief is not None and not from_picture:
        yield (*keys, "relief"), "relief goes with heights from a picture: rows say how high they are"
    elif from_picture and ground.relief is None:
        yield (*keys, "heights"), "say how high black and white of the picture are, such as relief: [0, 12 m]"


FAMILIES: dict[type[Piece], Family] = {
    Ground: Family(_places_of_ground, misfits=_misfits_of_ground, stands="absolute"),
    **HOUSES,
    **SHOPS,
    **GROWTH,
    **RUNS,
    **THINGS,
    **VEHICLES,
    **CAMP,
    **MARKET,
    **IMPORTED,
}
