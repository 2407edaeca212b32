"""The set as the script gives it: one model for each kind of piece, a file for each family.

Plan coordinates: x right/east, y north, z up. `facing` is the azimuth (clockwise from north) that a piece's
front looks to; the default, 180 deg, looks south, towards a camera that stands at negative y.
"""

from __future__ import annotations

from preview.script.models.pieces import buildings, camp, ground, growth, imported, market, things, vehicles
from preview.script.models.pieces.buildings import Garage, House, Shed, Shelter, Shops
from preview.script.models.pieces.camp import Campfire, Driftwood, Rocks, StringOfBulbs, Tent
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Reeds, Shrubs, Trees
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.models.pieces.market import PhoneBox, Prop, Stall, WashingLine
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box, Fence, LampPost, Wall
from preview.script.models.pieces.vehicles import Bicycle, Boat, Car, Pickup, Tractor, Van

FAMILIES = (ground, buildings, growth, things, vehicles, camp, market, imported)

PIECES: dict[str, type[Piece]] = {
    "ground": Ground,
    "house": House,
    "shed": Shed,
    "garage": Garage,
    "shops": Shops,
    "trees": Trees,
    "shrubs": Shrubs,
    "hedge": Hedge,
    "grass": Grass,
    "reeds": Reeds,
    "fence": Fence,
    "wall": Wall,
    "box": Box,
    "street": Street,
    "footpath": Footpath,
    "lamp_post": LampPost,
    "shelter": Shelter,
    "car": Car,
    "van": Van,
    "pickup": Pickup,
    "tractor": Tractor,
    "bicycle": Bicycle,
    "boat": Boat,
    "campfire": Campfire,
    "tent": Tent,
    "rocks": Rocks,
    "driftwood": Driftwood,
    "string": StringOfBulbs,
    "stall": Stall,
    "phone_box": PhoneBox,
    "washing": WashingLine,
    "prop": Prop,
    "mesh": ImportedMesh,
}
"""The key that starts a piece in the script's `set:` list, and its model."""

__all__ = ["FAMILIES", "PIECES", "Piece"]
