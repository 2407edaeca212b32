"""Rig places: where a lamp can be that lights a mark as a moon from a direction would, and what stops it elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.frustum import outside
from preview.camera.sight import FREE, blockers
from preview.commands.rig.around import Around, Target, Watcher
from preview.commands.rig.lifts import HIGHEST, LOWEST, bases, lift_for
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.buildings import Garage, House, Shed, Shops
from preview.script.models.pieces.ground import Footpath, Ground, Street
from preview.script.models.pieces.growth import Grass, Reeds, Trees
from preview.script.models.pieces.piece import Piece
from preview.script.solids import inside_of
from preview.trade.catalogue import LiftRow

Floats = NDArray[np.float64]

LAMP: Final = 0.2
"""Metres from a lamp's middle to where the rest of it is asked whether it can be seen."""
SHADED: Final = 0.3
"""Share of the lamp hidden from the mark from which it is lit no more: half a stop."""
STEEPEST: Final = 5.0
"""Degrees of slope on which a boom lift still stands. From memory, typical: its own plate decides."""
HEAD_ROOM: Final = 0.5
CHASSIS: Final = (0.5, 2.2)
"""Metres above the ground between which what stands there has its body. From memory, typical."""
BELOW: Final = 2.5
"""Metres on the plan from a head on a lift within which nobody stands. Common practice, no source."""
NEAR_ZENITH: Final = 80.0
"""Degrees up."""
CLEARS: Final = np.arange(0.5, 25.1, 0.5)
"""Metres higher, tried in turn to tell what would clear a thing in the way."""
WATER: Final = ("water",)
"""Materials of ground that nothing stands on."""


@dataclass(frozen=True)
class Perch:
    """A place for a lamp, `at` (3,) m. Radians, azimuth and elevation as seen from the mark; metres.

    `height`: above the ground under its base. `shade`: share of it hidden from the mark; `faces_shade` from each face.
    `why`: what is against it, empty where it can be used; `remedy`: what would help.
    """

    azimuth: float
    elevation: float
    throw: float
    at: Floats
    height: float
    lift: LiftRow | None = None
    base: tuple[float, float] = (0.0, 0.0)
    shade: float = 0.0
    faces_shade: tuple[float, ...] = ()
    why: str = ""
    remedy: str = ""

    @property
    def off(self) -> float:
        """Metres on the plan from the mark."""
        return self.throw * cos(self.elevation)


def direction(azimuth: float, elevation: float) -> Floats:
    """Unit vector (3,) towards a direction of the sky; radians."""
    return np.array([sin(azimuth) * cos(elevation), cos(azimuth) * cos(elevation), sin(elevation)])


def angle_between(around: Around, perch: Perch) -> float:
    """Degrees between where a lamp's light comes from and where the moon's would."""
    cosine = direction(around.azimuth, around.elevation) @ direction(perch.azimuth, perch.elevation)
    return degrees(float(np.arccos(np.clip(cosine, -1.0, 1.0))))


def perches(around: Around, ways: Iterable[tuple[float, float]], throws: Sequence[float]) -> Iterator[Perch]:
    """Every throw (m) of every way (azimuth, elevation), judged, in that order."""
    made = [_placed(around, azimuth, elevation, throw) for azimuth, elevation in ways for throw in throws]
    if not made:
        return
    shades, names = _shadows(around, np.array([perch.at for perch in made]))
    for perch, shade, name in zip(made, shades, names, strict=True):
        yield _judged(
            around, replace(perch, shade=float(shade[0]), faces_shade=tuple(shade[1:].tolist())), name
        )


def _placed(around: Around, azimuth: float, elevation: float, throw: float) -> Perch:
    at = around.mark.place + throw * direction(azimuth, elevation)
    ground = around.scene.terrain.footing(float(at[0]), float(at[1]))
    return Perch(azimuth, elevation, throw, at, float(at[2] - ground), base=(float(at[0]), float(at[1])))


def _judged(around: Around, perch: Perch, in_the_way: str) -> Perch:
    """The first thing that is against a place, or the lift and the base that do."""
    if perch.height < LOWEST:
        return replace(perch, why="the ground is as high as the lamp there")
    lift = lift_for(perch.height)
    if lift is None:
        return replace(
            perch,
            why=f"the lamp is {perch.height:.0f} m up, no lift of the list goes past {HIGHEST:.0f} m",
            remedy="nearer, or a lower moon",
        )
    perch = replace(perch, lift=lift)
    if perch.shade > SHADED:
        return replace(
            perch,
            why=f"{in_the_way} in the way to {around.mark.name}",
            remedy=cleared(around, perch),
        )
    troubles = []
    for base in bases(lift, perch.at, perch.at - around.mark.place, perch.height):
        trouble = ground_trouble(around, lift, perch.at, base) or _seen(around, lift, perch.at, base)
        if trouble is None:
            ground = around.scene.terrain.footing(*base)
            return replace(perch, base=base, height=float(perch.at[2] - ground))
        troubles.append(trouble)
    return replace(perch, why=troubles[0])


def _shadows(around: Around, lamps: Floats) -> tuple[Floats, list[str]]:
    """The share (n, targets) of each lamp (n, 3) hidden from mark and faces, and what hides most of it from the mark."""
    offsets = LAMP * np.array(
        [[0, 0, 0], [1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, 1], [0, 0, -1]]
    )
    places = (lamps[:, None] + offsets).reshape(-1, 3)
    hidden: list[Floats] = []
    names = [""] * len(lamps)
    for target in (around.mark, *around.faces):
        found = hides(around, target, places).reshape(len(lamps), -1)
        if not hidden:
            names = [_most(around.world, row) for row in found]
        hidden.append((found != FREE).mean(axis=1))
    return np.stack(hidden, axis=1), names


def hides(around: Around, target: Target, places: Floats) -> NDArray[np.int64]:
    """The part of the set that hides each of places (n, 3) from a target; FREE for none. Its own figure hides nothing."""
    return blockers(
        target.meter,
        places,
        around.world,
        around.rays,
        own=lambda name: bool(target.owner) and name.partition(".")[0] == target.owner,
        through_own=True,
    )


def _most(world: World, found: NDArray[np.int64]) -> str:
    """The piece that hides most; empty for none."""
    names = [world.names[part].partition(".")[0] for part in found if part >= 0]
    return max(sorted(set(names)), key=names.count, default="")


def cleared(around: Around, perch: Perch) -> str:
    """How much higher a lamp that is hidden from the mark must go at the same plan point, in words."""
    up = np.array([0.0, 0.0, 1.0])
    found = hides(around, around.mark, perch.at + CLEARS[:, None] * up)
    free = np.flatnonzero(found == FREE)
    if not len(free):
        return f"nothing up to {CLEARS[-1]:.0f} m higher clears it"
    more = float(CLEARS[free[0]])
    over = perch.at + more * up - around.mark.place
    steep = degrees(float(np.arctan2(over[2], np.hypot(over[0], over[1]))))
    past = "" if perch.height + more <= HIGHEST else ", past any lift"
    return f"{more:.1f} m higher clears it, {steep:.0f}° up{past}"


def ground_trouble(around: Around, lift: LiftRow, at: Floats, base: tuple[float, float]) -> str | None:
    """What is against a lift at a plan point that carries a lamp at (3,); None where it stands free."""
    scene, half = around.scene, lift.across / 2.0
    if not lift.stands_below:
        for figure in scene.cast:
            if np.hypot(figure.at[0] - at[0], figure.at[1] - at[1]) < BELOW:
                return f"would hang over {figure.name}: nobody works below a lift"
    pieces = dict(scene.set)
    corners = [
        (base[0] + x * half, base[1] + y * half) for x, y in ((0, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))
    ]
    heights = [scene.terrain.footing(*corner) for corner in corners]
    for corner in corners:
        under = scene.terrain.underfoot(*corner)
        piece = None if under is None else pieces.get(under[0])
        if isinstance(piece, Ground) and piece.material in WATER:
            return f"would stand in water ({under[0]})" if under else None
        if isinstance(piece, Street):
            return f"would stand on a road ({under[0]})" if under else None
    grown = _overgrown(around, lift, at, np.array([*base, heights[0]]))
    if grown is not None:
        return grown
    near = around.near(*base, 2.0 * half)
    foot = np.array([*base, heights[0]])
    for name, _ in near:
        if around.fills(
            name, foot + np.array([-half, -half, CHASSIS[0]]), foot + np.array([half, half, CHASSIS[1]])
        ):
            return f"would stand in the branches of {name}"
    beside = [
        one for one in scene.cast if np.hypot(one.at[0] - base[0], one.at[1] - base[1]) < 2.0 * half + 1.0
    ]
    for corner, height in zip(corners, heights, strict=True):
        for above in (0.3, 1.5):
            inside = inside_of(np.array([*corner, height + above]), near, beside, scene.terrain)
            if inside is not None:
                return f"would stand in {inside}"
    slope = degrees(float(np.arctan2(max(heights) - min(heights), 2.0 * np.sqrt(2.0) * half)))
    if lift.reaches > 0.0 and slope > STEEPEST:
        return f"the ground slopes {slope:.0f}°, too much for a boom lift"
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


def _seen(around: Around, lift: LiftRow, at: Floats, base: tuple[float, float]) -> str | None:
    """The setups whose frame shows a plain outline of head and lift; None where none does."""
    foot = np.array([*base, around.scene.terrain.footing(*base)])
    signs = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
    share = np.linspace(0.0, 1.0, 25)[:, None]
    mast = foot + share * (at - foot)
    wide = 0.5 * lift.across
    corners = foot + signs * [wide, wide, 0.6] + [0.0, 0.0, 0.6]
    thick = np.array([0.2, 0.0, 0.0])
    outline = np.concatenate([at + HEAD_ROOM * signs, mast, mast + thick, mast - thick, corners])
    shows = [watcher.setup for watcher in around.watchers if _shows(watcher, outline)]
    return f"in shot in {' and '.join(shows)}" if shows else None


def _shows(watcher: Watcher, outline: Floats) -> bool:
    inside = outline[(outside(watcher.view, outline) <= 0.0).all(axis=1)]
    if not len(inside):
        return False
    found = blockers(watcher.view.position, inside, watcher.world, watcher.rays)
    return bool((found == FREE).any())


def offsets(
    azimuth: float, elevation: float, *, aside: Sequence[float], lower: Sequence[float]
) -> list[tuple[float, float]]:
    """Ways about one way: degrees to either side and lower; radians. None is lower than 2 degrees."""
    least = min(radians(2.0), elevation)
    heights = dict.fromkeys(max(elevation - radians(down), least) for down in lower)
    found = []
    for height in heights:
        # Near the zenith all ways round are about the same way.
        sides: Sequence[float] = aside
        if degrees(elevation) > NEAR_ZENITH:
            sides = (0.0,) if height > radians(89.5) else tuple(range(0, 360, 45))
        found += [(azimuth + radians(side), height) for side in sides]
    return found
