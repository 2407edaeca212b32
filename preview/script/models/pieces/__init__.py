"""The set as the script gives it: one model for each kind of piece, a file for each family.

Plan coordinates: x right/east, y north, z up. `facing` is the azimuth (clockwise from north) that a piece's
front looks to; the default, 180 deg, looks south, towards a camera that stands at negative y.
"""

from __future__ import annotations

from preview.script.models.pieces import buildings, ground, growth, imported, things
from preview.script.models.pieces.buildings import House, Shelter
from preview.script.models.pieces.ground import Ground, Street
from preview.script.models.pieces.growth import Hedge, Trees
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box, Fence, LampPost, Wall

FAMILIES = (ground, buildings, growth, things, imported)

PIECES: dict[str, type[Piece]] = {
    "ground": Ground,
    "house": House,
    "trees": Trees,
    "hedge": Hedge,
    "fence": Fence,
    "wall": Wall,
    "box": Box,
    "street": Street,
    "lamp_post": LampPost,
    "shelter": Shelter,
    "mesh": ImportedMesh,
}
"""The key that starts a piece in the script's `set:` list, and its model."""

__all__ = ["FAMILIES", "PIECES", "Piece"]
