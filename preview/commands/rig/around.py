"""Rig around: what places for rigs are judged by: the set, the cameras of all setups, the mark and the faces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.sight import Caster
from preview.camera.view import View
from preview.script.models.cast import Figure
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Hedge, Reeds, Shrubs, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Scene
from preview.script.waters import in_water, waters_of

Floats = NDArray[np.float64]

WATER_STEP: Final = 0.25
WATER_REACH: Final = 85.0
"""Metres about the mark, a step apart, in which water is looked for: a throw and a boom."""
FAR_FROM_WATER: Final = 30.0
"""Metres from which water is not told."""
YIELDS: Final = ("leaves", "dark leaves", "dead leaves", "needles", "grass blades", "straw")
"""Materials that a lift may touch."""


@dataclass(frozen=True)
class Target:
    """Where the moon is wanted: `place` (3,) m that lamps are aimed at, `meter` (3,) where it is read, clear of the skin,
    `owner`: the figure that it is on, whose own body is not in the way.
    """

    name: str
    place: Floats
    meter: Floats
    owner: str = ""


@dataclass(frozen=True)
class Watcher:
    """A setup's camera, with the solids that stand in its way."""

    setup: str
    view: View
    world: World
    rays: Caster


@dataclass(frozen=True)
class Around:
    """All that a place is judged by. `faces`: the same of every figure, the mark's own first where it has one."""

    scene: Scene
    world: World
    rays: Caster
    watchers: tuple[Watcher, ...]
    mark: Target
    faces: tuple[Target, ...]
    azimuth: float
    elevation: float
    """Radians, of the moon that is asked for."""

    @cached_property
    def bounds(self) -> dict[str, tuple[Floats, Floats]]:
        """Of each piece of the set that is built, its least and its greatest plan point (2,)."""
        order = np.argsort(self.world.part_of_face, kind="stable")
        parts, starts = np.unique(self.world.part_of_face[order], return_index=True)
        found: dict[str, tuple[Floats, Floats]] = {}
        for part, faces in zip(parts, np.split(order, starts[1:]), strict=True):
            corners = self.world.vertices[self.world.faces[faces].ravel(), :2].astype(np.float64)
            piece = self.world.names[part].partition(".")[0]
            low, high = corners.min(axis=0), corners.max(axis=0)
            before = found.get(piece, (low, high))
            found[piece] = np.minimum(before[0], low), np.maximum(before[1], high)
        return found

    @cached_property
    def _grown(self) -> dict[str, NDArray[np.float32]]:
        """The corners (n, 3) of everything that grows, by piece."""
        owner = np.array([name.partition(".")[0] for name in self.world.names], dtype=object)
        found = {}
        for name, piece in self.scene.set:
            if isinstance(piece, Trees | Shrubs | Hedge | Reeds):
                parts = (owner == name)[self.world.part_of_face]
                found[name] = self.world.vertices[np.unique(self.world.faces[parts])]
        return found

    @cached_property
    def yields(self) -> NDArray[np.bool_]:
        """Of each part, whether it is ground or something that a lift may touch."""
        pieces = dict(self.scene.set)
        owners = [pieces.get(name.partition(".")[0]) for name in self.world.names]
        return np.array(
            [
                isinstance(owner, Ground | Footpath | Street | Grass) or material in YIELDS
                for owner, material in zip(owners, self.world.materials, strict=True)
            ],
            bool,
        )

    @cached_property
    def shore(self) -> tuple[Floats, tuple[str, ...]]:
        """Plan points (n, 2) where water meets land, within `WATER_REACH` of the mark, and of each the water's name."""
        if not waters_of(self.scene):
            return np.zeros((0, 2)), ()
        steps = np.arange(-WATER_REACH, WATER_REACH, WATER_STEP) + WATER_STEP / 2.0
        east, north = np.meshgrid(self.mark.place[0] + steps, self.mark.place[1] + steps)
        surfaces = self.scene.terrain.surfaces
        wet = in_water(self.scene, east, north)
        inner = wet.copy()
        inner[1:] &= wet[:-1]
        inner[:-1] &= wet[1:]
        inner[:, 1:] &= wet[:, :-1]
        inner[:, :-1] &= wet[:, 1:]
        edge = wet & ~inner
        which = self.scene.terrain.uppermost(east[edge], north[edge])
        return np.stack([east[edge], north[edge]], axis=1), tuple(surfaces[i].name for i in which)

    def water_from(self, base: tuple[float, float], half: float) -> tuple[float | None, str]:
        """Metres on the plan from a square, its middle and half its side, to the nearest water, and that water's name."""
        places, names = self.shore
        if not len(places):
            return None, ""
        beyond = np.maximum(np.abs(places - np.array(base)) - half - WATER_STEP / 2.0, 0.0)
        away = np.hypot(beyond[:, 0], beyond[:, 1])
        nearest = int(away.argmin())
        return (float(away[nearest]), names[nearest]) if away[nearest] < FAR_FROM_WATER else (None, "")

    def fills(self, name: str, low: Floats, high: Floats) -> bool:
        """Whether a piece that grows reaches into the box between two corners (3,)."""
        corners = self._grown.get(name)
        if corners is None:
            return False
        inside = (corners[:, 0] > low[0]) & (corners[:, 0] < high[0])
        inside &= (corners[:, 1] > low[1]) & (corners[:, 1] < high[1])
        return bool(((corners[inside, 2] > low[2]) & (corners[inside, 2] < high[2])).any())

    def near(self, x: float, y: float, reach: float) -> list[tuple[str, Piece]]:
        """The pieces of the set, but for its grounds, that come within `reach` m of a plan point."""
        at = np.array([x, y])
        return [
            (name, piece)
            for name, piece in self.scene.set
            if not isinstance(piece, Ground | Grass)
            and name in self.bounds
            and (at > self.bounds[name][0] - reach).all()
            and (at < self.bounds[name][1] + reach).all()
        ]


def target_at(
    scene: Scene, name: str, place: Floats, figure: Figure | None, *, towards: Floats, clear: float
) -> Target:
    """A target whose meter is held towards the moon, `clear` metres off; off the middle of the head of a figure."""
    if figure is None:
        return Target(name, place, place + clear * towards)
    eyes = scene.anchors[f"{figure.name}.eyes"].position
    middle = np.array([figure.at[0], figure.at[1], eyes[2]])
    return Target(name, place, middle + clear * towards, figure.name)
