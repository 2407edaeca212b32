"""Assembly: a scene's set and cast built piece by piece into one world."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from preview.build.mesh import Part
from preview.build.world import World, gather, joined
from preview.faults import Fault, UserError
from preview.script.models import set_pieces as pieces
from preview.script.scene import Scene

LIFT = 0.006
"""How far a ground lies above an earlier one of the same height, metres: a patch of gravel in the grass."""


def assemble(scene: Scene) -> World:
    """Every triangle of the scene. UserError with all faults that the builders found, each with its piece."""
    built: list[World] = []
    faults: list[Fault | str] = []
    grounds: list[pieces.Ground] = []
    for name, piece in scene.set:
        if isinstance(piece, pieces.Ground):
            layers = sum(other.height == piece.height for other in grounds)
            grounds.append(piece)
            piece = piece.model_copy(update={"height": piece.height + LIFT * layers})
        try:
            # At once, for a builder's own numbers take twice the room.
            built.append(gather(BUILDERS[type(piece)](scene, name, piece)))
        except UserError as error:
            faults += [_located(scene, name, piece, fault) for fault in error.faults]
    for figure in scene.cast:
        from preview.build.figure import build_figure

        built.append(gather(build_figure(scene, figure)))
    if faults:
        raise UserError(*faults)
    return joined(built)


def _located(scene: Scene, name: str, piece: pieces.Piece, fault: Fault | str) -> Fault:
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


def _ground(scene: Scene, name: str, model: pieces.Ground) -> list[Part]:
    from preview.build.ground import build_ground

    return build_ground(name, model)


def _house(scene: Scene, name: str, model: pieces.House) -> list[Part]:
    from preview.build.house import build_house

    return build_house(name, model)


def _trees(scene: Scene, name: str, model: pieces.Trees) -> list[Part]:
    from preview.build.trees import build_trees

    return build_trees(name, model)


def _hedge(scene: Scene, name: str, model: pieces.Hedge) -> list[Part]:
    from preview.build.hedge import build_hedge

    return build_hedge(name, model)


def _fence(scene: Scene, name: str, model: pieces.Fence) -> list[Part]:
    from preview.build.fence import build_fence

    return build_fence(name, model)


def _wall(scene: Scene, name: str, model: pieces.Wall) -> list[Part]:
    from preview.build.wall import build_wall

    return build_wall(name, model)


def _box(scene: Scene, name: str, model: pieces.Box) -> list[Part]:
    from preview.build.wall import build_box

    return build_box(name, model)


def _street(scene: Scene, name: str, model: pieces.Street) -> list[Part]:
    from preview.build.street import build_street

    return build_street(name, model)


def _lamp_post(scene: Scene, name: str, model: pieces.LampPost) -> list[Part]:
    from preview.build.lamp_post import build_lamp_post

    azimuth = scene.azimuth(model.facing, np.array([*model.at, 0.0]))
    return build_lamp_post(name, model, azimuth=azimuth)


def _shelter(scene: Scene, name: str, model: pieces.Shelter) -> list[Part]:
    from preview.build.shelter import build_shelter

    return build_shelter(name, model)


def _imported(scene: Scene, name: str, model: pieces.ImportedMesh) -> list[Part]:
    from preview.build.imported import build_imported

    return build_imported(name, model, scene.path.parent)


BUILDERS: dict[type, Callable[..., list[Part]]] = {
    pieces.Ground: _ground,
    pieces.House: _house,
    pieces.Trees: _trees,
    pieces.Hedge: _hedge,
    pieces.Fence: _fence,
    pieces.Wall: _wall,
    pieces.Box: _box,
    pieces.Street: _street,
    pieces.LampPost: _lamp_post,
    pieces.Shelter: _shelter,
    pieces.ImportedMesh: _imported,
}
"""The builder of each kind of piece; each imports its module when it is first needed."""
