"""Rig drawing: what of a scene is drawn on the plan of its rigs."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees, pi
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.commands.rig.around import Around
from preview.commands.rig.lifts import HIGHEST
from preview.commands.rig.places import Perch
from preview.commands.rig.trial import Trial
from preview.commands.rig.words import ON_IT, north_of, on_the_way
from preview.script.models.pieces.buildings import Garage, House, Shed, Shelter, Shops
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Reeds, Shrubs, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.waters import in_water
from preview.sheets.answer.blocks import Drawing
from preview.sheets.rig_plan import rig_plan
from preview.sheets.rig_plan_data import Body, Camera, Figure, Plan, RigMark

Floats = NDArray[np.float64]

MOST: Final = 25_000
"""Triangles of a piece that are drawn one by one."""
WATER_SHOWN: Final = 90.0
"""Metres about the mark in which water is drawn."""
WATER_STEP: Final = 0.5
LEAVES: Final = 12_000
Kind = Literal["building", "thing", "growth", "way", "water"]


def plan_drawing(
    around: Around, trials: Sequence[Trial], perches: Sequence[Perch], nearest: Perch | None
) -> Drawing:
    """The plan with its rigs; without any, with what was asked for, and the nearest place that is free."""
    scene = around.scene
    figures = []
    for figure in scene.cast:
        facing = scene.anchors[f"{figure.name}.face"].facing or (0.0, 1.0, 0.0)
        long = max(float(np.hypot(facing[0], facing[1])), 1e-6)
        figures.append(Figure(figure.name, figure.at, (facing[0] / long, facing[1] / long)))
    rigs = [_marked(trial.candidate.perch, number) for number, trial in enumerate(trials, 1)]
    if not rigs and nearest is not None:
        rigs.append(_marked(nearest, None))
    asked = [
        (float(perch.at[0]), float(perch.at[1]), bool(perch.why))
        for perch in perches
        if on_the_way(around, perch) and perch.height <= HIGHEST
    ]
    plan = Plan(
        (float(around.mark.place[0]), float(around.mark.place[1])),
        None if degrees(around.elevation) > 85.0 else around.azimuth,
        tuple(_bodies(around)),
        tuple(figures),
        tuple(_cameras(around)),
        tuple(rigs),
        tuple((east, north) for east, north, refused in asked if refused),
        () if trials else tuple((east, north) for east, north, _ in asked),
        north_of(around),
    )
    words = " Rigs are numbered at their lamps." if trials else ""
    if rigs and not trials:
        words = " No rig does it; the nearest place that is free is marked."
    turned = degrees(abs((north_of(around) + pi) % (2.0 * pi) - pi)) >= ON_IT
    up = "0° of the script's plan up" if turned else "north up"
    return Drawing(
        "From above",
        rig_plan(plan),
        f"The set from above, {up}, with cast, cameras and the direction of the moon.{words}",
        _note(bool(trials), bool(rigs), any(refused for _, _, refused in asked))
        + (" Up is 0° of the script's plan; N is true north." if turned else ""),
    )


def _note(told: bool, marked: bool, refused: bool) -> str:
    """How to read it."""
    said = []
    if told:
        said.append("Numbers: lamps, best first; one beside its place has a line to it.")
    if marked:
        said.append("Squares: what carries them. Thin lines go to the mark, which is ringed.")
    else:
        said.append("The mark is ringed.")
    said.append(
        "Dashed: towards the moon asked for" + (", crossed where nothing can stand." if refused else ".")
    )
    said.append(
        "Triangles: cameras, with the sides of their frames; a lamp between those is above the frame, or hidden."
    )
    return " ".join(said)


def _marked(perch: Perch, number: int | None) -> RigMark:
    assert perch.lift is not None
    lamp = float(perch.at[0]), float(perch.at[1])
    return RigMark(number, lamp, perch.base, perch.lift.across, perch.lift.name)


def _cameras(around: Around) -> list[Camera]:
    found = []
    for watcher in around.watchers:
        view = watcher.view
        level = view.forward[:2] if np.hypot(*view.forward[:2]) > 1e-6 else view.up[:2]
        level = level / np.hypot(*level)
        at = float(view.position[0]), float(view.position[1])
        found.append(Camera(watcher.setup, at, (float(level[0]), float(level[1])), view.tan_half_width))
    return found


def _kind(piece: Piece) -> Kind | None:
    if isinstance(piece, Ground | Grass):
        return None
    if isinstance(piece, Footpath | Street):
        return "way"
    if isinstance(piece, House | Shed | Garage | Shops | Shelter):
        return "building"
    if isinstance(piece, Trees | Shrubs | Hedge | Reeds):
        return "growth"
    return "thing"


def _bodies(around: Around) -> list[Body]:
    owner = np.array([name.partition(".")[0] for name in around.world.names], dtype=object)
    found = [_water(around)]
    for name, piece in around.scene.set:
        kind = _kind(piece)
        if kind is None:
            continue
        triangles = _plan_of(around.world, owner == name)
        leaves = np.zeros((0, 2))
        if len(triangles) > MOST and kind == "growth":
            # Too fine to be drawn one by one: some of them stand for all.
            leaves = triangles.mean(axis=1)[:: max(1, len(triangles) // LEAVES)]
            triangles = triangles[:0]
        elif len(triangles) > MOST:
            one, two = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
            area = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
            triangles = triangles[np.argsort(-area)[:MOST]]
        found.append(Body(name, kind, triangles, leaves, named=kind == "building"))
    return found


def _water(around: Around) -> Body:
    """Where water is what one would stand on, about the mark, in strips one step wide."""
    x0, y0 = (around.mark.place[:2] - WATER_SHOWN).tolist()
    steps = np.arange(0.0, 2.0 * WATER_SHOWN, WATER_STEP)
    east, north = np.meshgrid(x0 + steps + WATER_STEP / 2.0, y0 + steps + WATER_STEP / 2.0)
    strips = []
    for row, cells in enumerate(in_water(around.scene, east, north)):
        edges = np.flatnonzero(np.diff(np.concatenate([[False], cells, [False]]).astype(int)))
        for start, end in edges.reshape(-1, 2):
            low, high = y0 + row * WATER_STEP, y0 + (row + 1) * WATER_STEP
            left, right = x0 + start * WATER_STEP, x0 + end * WATER_STEP
            strips += [
                [[left, low], [right, low], [right, high]],
                [[left, low], [right, high], [left, high]],
            ]
    return Body("water", "water", np.array(strips, np.float64).reshape(-1, 3, 2), np.zeros((0, 2)))


def _plan_of(world: World, parts: NDArray[np.bool_]) -> Floats:
    """Triangles (n, 3, 2) m of some parts as seen from above."""
    faces = world.faces[parts[world.part_of_face]]
    return np.asarray(world.vertices[faces][..., :2], np.float64)
