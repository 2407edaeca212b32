"""Assembly: a scene's set and cast built piece by piece into one world."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from preview.build.buildings.fence import build_fence
from preview.build.buildings.house import build_house, build_outbuilding
from preview.build.buildings.shelter import build_shelter
from preview.build.buildings.shops import build_shops
from preview.build.buildings.wall import build_box, build_wall
from preview.build.cast.figure import build_figure
from preview.build.drape import draped, lifted
from preview.build.growth.grass import build_grass, build_reeds
from preview.build.growth.hedge import build_hedge
from preview.build.growth.trees import build_trees
from preview.build.imported import build_imported
from preview.build.land.footpath import build_footpath
from preview.build.land.ground import build_ground
from preview.build.land.street import build_street
from preview.build.mesh import Part
from preview.build.site import Site
from preview.build.things.builders import BUILDERS as OF_THINGS
from preview.build.things.lamp_post import build_lamp_post
from preview.build.world import World, gather, joined
from preview.faults import Fault, UserError
from preview.script.families import FAMILIES
from preview.script.models.pieces.buildings import Garage, House, Shed, Shelter, Shops
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Reeds, Shrubs, Trees
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.models.pieces.piece import Piece
from preview.script.models.pieces.things import Box, Fence, LampPost, Wall
from preview.script.scene import Scene
from preview.script.standing import beneath, lift_of

LIFT = 0.006
"""How far a ground lies above an earlier one of the same height, metres: a patch of gravel in the grass."""


def assemble(scene: Scene) -> World:
    """Every triangle of the scene. UserError with all faults that the builders found, each with its piece."""
    site = Site(scene)
    built: list[World] = []
    faults: list[Fault | str] = []
    layers: dict[str, int] = {}
    for name, piece in scene.set:
        if isinstance(piece, Ground):
            layers[name] = _layer(name, site, layers)
            piece = piece.model_copy(update={"height": piece.height + LIFT * layers[name]})
        try:
            # At once, for a builder's own numbers take twice the room.
            parts = BUILDERS[type(piece)](name, piece, site)
            built.append(gather([_standing(part, piece, site) for part in parts]))
        except UserError as error:
            faults += [_located(scene, name, piece, fault) for fault in error.faults]
    for figure in scene.cast:
        built.append(gather(build_figure(site, figure)))
    if faults:
        raise UserError(*faults)
    return joined(built)


def _layer(name: str, site: Site, layers: Mapping[str, int]) -> int:
    """How many grounds lie under a ground where it lies on earlier ones; `layers` are theirs."""
    mine = site.terrain.surface(name)
    assert mine is not None
    below = []
    for other in site.terrain.surfaces:
        apart = (mine.low >= other.high).any() or (other.low >= mine.high).any()
        if other.name in layers and not apart and (other in mine.under or other.middle == mine.middle):
            below.append(layers[other.name])
    return 1 + max(below) if below else 0


def _standing(part: Part, piece: Piece, site: Site) -> Part:
    """A part as its piece stands on the ground."""
    terrain = site.terrain
    if FAMILIES[type(piece)].stands != "draped":
        return lifted(part, lift_of(piece, terrain))
    return draped(part, beneath(piece, terrain)) if terrain.is_raised else part


def _located(scene: Scene, name: str, piece: Piece, fault: Fault | str) -> Fault:
    """A builder's sentence as a fault of the scene's file, in the line of the key that it is about.

    The sentence starts with the piece's name, then the key, where there is one: `crate: file: holds no faces`.
    """
    if isinstance(fault, Fault):
        return replace(fault, file=scene.path) if fault.line is None else fault
    written = scene.written.get(name)
    if written is None:
        return Fault(scene.path, None, "set", fault)
    sentence = fault.removeprefix(f"{name}: ")
    key, colon, rest = sentence.partition(": ")
    if colon and key in type(piece).model_fields:
        return Fault(scene.path, written.lines.get(key, written.line), f"{written.path}.{key}", rest)
    return Fault(scene.path, written.line, written.path, sentence)


BUILDERS: dict[type[Piece], Callable[..., list[Part]]] = {
    Ground: build_ground,
    House: build_house,
    Shed: build_outbuilding,
    Garage: build_outbuilding,
    Shops: build_shops,
    Trees: build_trees,
    Shrubs: build_trees,
    Hedge: build_hedge,
    Grass: build_grass,
    Reeds: build_reeds,
    Fence: build_fence,
    Wall: build_wall,
    Box: build_box,
    Street: build_street,
    Footpath: build_footpath,
    LampPost: build_lamp_post,
    Shelter: build_shelter,
    ImportedMesh: build_imported,
    **OF_THINGS,
}
"""The builder of each kind of piece: of its name, its model and the `Site`."""
