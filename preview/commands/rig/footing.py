"""Rig footing: what a lift would stand on and how near to what, and what is against it there."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, degrees, hypot, pi
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.rig.around import Around
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.buildings import Garage, House, Shed, Shops
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Reeds, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.solids import inside_of
from preview.trade.catalogue import LiftRow

Floats = NDArray[np.float64]

STEEPEST: Final = 5.0
"""Degrees of slope on which a boom lift or a tower still stands. From memory, typical: its own plate decides."""
CHASSIS: Final = (0.5, 2.2)
"""Metres above the ground between which what stands there has its body. From memory, typical."""
BELOW: Final = 2.5
"""Metres on the plan from a head on a lift within which nobody stands. Common practice, no source."""
FROM_WATER: Final = 2.0
"""Metres that what stands keeps off water: banks give way, water rises. Common practice, no source."""
LEFT_FREE: Final = 1.0
"""Metres left about the base of a lift or a tower, to walk round it and for its tail. Common practice, no source."""
LEFT_FREE_BY_STAND: Final = 0.3
WET: Final = ("mud", "wet soil", "wet sand")
"""Materials of ground too wet for what stands on wheels, plates or sills."""
SOFT: Final = (*WET, "sand", "dry soil", "soil", "snow", "old snow")
"""Materials that give way under a load: boards go below. Common practice, no source."""
PAVED: Final = (
    "asphalt",
    "wet asphalt",
    "old asphalt",
    "concrete",
    "new concrete",
    "cobbles",
    "stone",
    "gravel",
)
"""Materials that bear a load however wet they are."""
SODDEN: Final = 0.5
"""Wetness of unpaved ground from which it is as mud is."""
LOOKED: Final = 6.0
"""Metres about the middle of a base in which the nearest thing is looked for."""
WAYS: Final = 48
HEIGHTS: Final = (0.4, 1.2, 2.0)
"""Metres above the ground."""
PASSES: Final = 8
"""Leaves that one look goes past."""


@dataclass(frozen=True)
class Footing:
    """What a lift, tower or stand is on and beside.

    `ground`: the ground, street or path under it, empty beyond all; `material` of it; `wet`: whether it is wet, `soft`:
    whether it gives way, so that boards go below. `slope_deg`: of the ground under its base. `water_m`: metres on the plan
    from its base to the nearest water, None for none within 30 m; `water`: that water's name. `free_m`: metres from its
    base to the nearest thing that does not yield, None for none close by; `beside`: that thing's name.
    """

    ground: str
    material: str
    wet: bool
    soft: bool
    slope_deg: float
    water_m: float | None = None
    water: str = ""
    free_m: float | None = None
    beside: str = ""

    @property
    def words(self) -> str:
        """`beach, sand`; `path, gravel`; `open ground` beyond all grounds."""
        if not self.ground:
            return "open ground"
        return (
            self.ground
            if not self.material or self.material in self.ground
            else f"{self.ground}, {self.material}"
        )


def footing_of(around: Around, lift: LiftRow, base: tuple[float, float]) -> Footing:
    """What a lift is on and beside with the middle of its base at a plan point."""
    terrain, half = around.scene.terrain, lift.across / 2.0
    under = terrain.underfoot(*base)
    name = "" if under is None else under[0]
    piece = dict(around.scene.set).get(name)
    material = str(getattr(piece, "material", ""))
    wetness = float(getattr(piece, "wet", 0.0))
    wet = material in WET or material.startswith("wet") or wetness >= SODDEN
    soft = material in SOFT or (wet and material not in PAVED)
    corner = {
        (x, y): terrain.footing(base[0] + x * half, base[1] + y * half) for x in (-1, 1) for y in (-1, 1)
    }
    east = (corner[1, 1] + corner[1, -1] - corner[-1, 1] - corner[-1, -1]) / (4.0 * half)
    north = (corner[1, 1] + corner[-1, 1] - corner[1, -1] - corner[-1, -1]) / (4.0 * half)
    water_m, water = around.water_from(base, half)
    free_m, beside = _nearest(around, base, half)
    return Footing(
        name, material, wet, soft, degrees(atan(hypot(east, north))), water_m, water, free_m, beside
    )


def _nearest(around: Around, base: tuple[float, float], half: float) -> tuple[float | None, str]:
    """Metres from a square base to the nearest thing about it that does not yield, and its name."""
    ground = around.scene.terrain.footing(*base)
    turn = np.tile(np.arange(WAYS) * 2.0 * pi / WAYS, len(HEIGHTS))
    way = np.stack([np.cos(turn), np.sin(turn), np.zeros_like(turn)], axis=1).astype(np.float32)
    origin = np.tile([base[0], base[1], ground], (len(turn), 1))
    origin[:, 2] += np.repeat(HEIGHTS, WAYS)
    gone, looking = np.zeros(len(turn)), np.arange(len(turn))
    best, name = np.inf, ""
    for _ in range(PASSES):
        if not len(looking):
            break
        start = origin[looking] + gone[looking, None] * way[looking]
        hit = around.rays.hit(start.astype(np.float32), way[looking])
        gone[looking] += np.where(hit.face >= 0, hit.distance, np.inf)
        met = (hit.face >= 0) & (gone[looking] < LOOKED)
        looking = looking[met]
        part = around.world.part_of_face[hit.face[met]]
        passed = around.yields[part]
        at = origin[looking] + gone[looking, None] * way[looking]
        beyond = np.maximum(np.abs(at[:, :2] - np.array(base)) - half, 0.0)
        gap = np.where(passed, np.inf, np.hypot(beyond[:, 0], beyond[:, 1]))
        if len(gap) and gap.min() < best:
            best = float(gap.min())
            name = around.world.names[part[int(gap.argmin())]].partition(".")[0]
        looking = looking[passed]
        gone[looking] += 1e-3
    return (best, name) if name else (None, "")


def ground_trouble(around: Around, lift: LiftRow, at: Floats, base: tuple[float, float]) -> str | None:
    """What is against a lift at a plan point that carries a lamp at (3,); None where it stands free."""
    scene, half = around.scene, lift.across / 2.0
    if not lift.stands_below:
        for figure in scene.cast:
            if np.hypot(figure.at[0] - at[0], figure.at[1] - at[1]) < BELOW:
                return f"would hang over {figure.name}: nobody works below a lift"
    corners = [
        (base[0] + x * half, base[1] + y * half) for x, y in ((0, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))
    ]
    for corner in corners:
        trouble = no_ground(around, corner)
        if trouble is not None:
            return trouble
    foot = np.array([*base, scene.terrain.footing(*base)])
    grown = _overgrown(around, lift, at, foot)
    if grown is not None:
        return grown
    near = around.near(*base, 2.0 * half)
    for name, _ in near:
        low = foot + np.array([-half, -half, CHASSIS[0]])
        if around.fills(name, low, foot + np.array([half, half, CHASSIS[1]])):
            return f"would stand in the branches of {name}"
    beside = [
        one for one in scene.cast if np.hypot(one.at[0] - base[0], one.at[1] - base[1]) < 2.0 * half + 1.0
    ]
    for corner in corners:
        for above in (0.3, 1.5):
            place = np.array([*corner, scene.terrain.footing(*corner) + above])
            inside = inside_of(place, near, beside, scene.terrain)
            if inside is not None:
                return f"would stand in {inside}"
    return _unsafe(around, lift, footing_of(around, lift, base))


def no_ground(around: Around, at: tuple[float, float]) -> str | None:
    """What is against anything that stands at a plan point: water, ice, a road."""
    under = around.scene.terrain.underfoot(*at)
    piece = None if under is None else dict(around.scene.set).get(under[0])
    if under is None or piece is None:
        return None
    if isinstance(piece, Ground) and piece.material in ("water", "ice"):
        return f"would stand {'in water' if piece.material == 'water' else 'on ice'} ({under[0]})"
    return f"would stand on a road ({under[0]})" if isinstance(piece, Street) else None


def _unsafe(around: Around, lift: LiftRow, footing: Footing) -> str | None:
    """What is against a lift of what it is on and beside."""
    if footing.water_m is not None and footing.water_m < FROM_WATER:
        return f"less than {FROM_WATER:.0f} m from water ({footing.water})"
    if not lift.stands_below and footing.wet and footing.soft:
        return f"on wet ground ({footing.words}), too soft for a {lift.name.partition(',')[0]}"
    least = LEFT_FREE_BY_STAND if lift.stands_below else LEFT_FREE
    if footing.free_m is not None and footing.free_m < least:
        piece = dict(around.scene.set).get(footing.beside)
        return f"less than {least:g} m from {called(footing.beside, piece)}"
    if not lift.stands_below and footing.slope_deg > STEEPEST:
        what = "boom lift" if lift.reaches > 0.0 else lift.name
        return f"the ground slopes {footing.slope_deg:.0f}°, too much for a {what}"
    return None


def _overgrown(around: Around, lift: LiftRow, at: Floats, foot: Floats) -> str | None:
    """What a mast, tower or boom between a lamp and its foot (3,) runs into."""
    spread = 0.35 if lift.reaches > 0.0 else max(0.35, 0.5 * lift.across)
    aside = np.array([[0, 0, 0], [1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0]], np.float64)
    start = at + 0.35 * aside - [0.0, 0.0, 0.25]
    end = np.array([foot[0], foot[1], min(foot[2] + 0.6, at[2] - 0.3)]) + spread * aside
    pieces = dict(around.scene.set)
    for name in _met(around, start, end):
        piece = pieces.get(name)
        if isinstance(piece, Ground | Footpath | Grass):
            continue
        if isinstance(piece, Trees):
            return f"would stand in the branches of {name}"
        if isinstance(piece, House | Shed | Garage | Shops):
            return f"would stand on or in {called(name, piece)}"
        return f"would stand in {called(name, piece)}" + (", wet ground" if isinstance(piece, Reeds) else "")
    return None


def called(name: str, piece: Piece | None) -> str:
    """A piece in words, with what it is where its name does not say so; a figure by its name."""
    if piece is None:
        return name
    noun = next(key for key, kind in PIECES.items() if isinstance(piece, kind)).replace("_", " ")
    return f"the {name}" if noun in name else f"the {noun} {name}"


def _met(around: Around, start: Floats, end: Floats) -> list[str]:
    """The piece that each of the ways from start to end (n, 3) meets first, of those that meet one."""
    away = end - start
    length = np.linalg.norm(away, axis=1)
    way = (away / np.maximum(length, 1e-9)[:, None]).astype(np.float32)
    hit = around.rays.hit(start.astype(np.float32), way)
    met = (hit.face >= 0) & (hit.distance < length)
    return [around.world.names[part].partition(".")[0] for part in around.world.part_of_face[hit.face[met]]]
