"""Whether pieces of the set can be built: openings, porches, roofs, paths, amounts, materials."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

from preview.faults import UserError
from preview.script import street_plan
from preview.script.document import Keys
from preview.script.draft import Draft, Part, values_in
from preview.script.families import FAMILIES
from preview.script.families.family import Found
from preview.script.models.pieces.ground import Ground
from preview.script.models.pieces.growth import MOST_TREES, Planted
from preview.script.terrain import rows_of
from preview.script.words import unknown
from preview.trade import catalogue

MATERIALS = (
    "material",
    "inside",
    "trim",
    "pavement_material",
    "top",
    "bottom",
    "curtain_material",
    "door_material",
    "paint",
    "awning",
    "stripe",
)
"""Fields that hold the name of a material."""
LONGEST_PATH = 2000.0
SHORTEST_STEP = 0.01


def names_in(draft: Draft) -> Found:
    """Materials that the catalogue does not have."""
    known = catalogue.names("materials")
    parts: tuple[Part[Any], ...] = (*draft.pieces, *draft.cast)
    for part in parts:
        for keys, value in values_in(part.model, part.keys) if part.model is not None else ():
            if keys[-1] in MATERIALS and value is not None and value not in known:
                yield keys, unknown("material", value, known)


def misfits_in(draft: Draft) -> Found:
    """Everything about the set that cannot be built."""
    trees = 0
    for part in draft.pieces:
        if part.model is None:
            continue
        yield from FAMILIES[type(part.model)].misfits(part.model, part.keys)
        if isinstance(part.model, Ground):
            yield from _heights(part.model, part.keys, draft.folder)
        along = getattr(part.model, "along", None)
        if along is not None:
            yield from _path(along, (*part.keys, "along"))
        if isinstance(part.model, Planted):
            before, trees = trees, trees + part.model.number
            if before <= MOST_TREES < trees:
                yield part.keys, f"with these the set has {trees} trees; it may have {MOST_TREES} in all"


def _heights(ground: Ground, keys: Keys, folder: Path) -> Found:
    """A picture of heights that cannot be read."""
    if ground.heights is not None:
        try:
            rows_of(ground, folder)
        except UserError as error:
            yield (*keys, "heights"), str(error)


def _path(path: Sequence[tuple[float, float]], keys: Keys) -> Found:
    for place, (a, b) in enumerate(pairwise(path)):
        if hypot(b[0] - a[0], b[1] - a[1]) < SHORTEST_STEP:
            yield (*keys, place + 1), "the path stands still here: this point is the one before it again"
    length = street_plan.path_length(path)
    if length > LONGEST_PATH:
        yield keys, f"the path is {length:.0f} m long; {LONGEST_PATH:.0f} m is the most"
