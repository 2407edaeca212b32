"""Rig places: where a lamp can be that lights a mark as a moon from a direction would, and what stops it elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, degrees, inf, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.frustum import clearance, outside
from preview.camera.sight import FREE, blockers
from preview.camera.view import View
from preview.commands.rig.around import Around, Target, Watcher
from preview.commands.rig.footing import Footing, footing_of, ground_trouble
from preview.commands.rig.lifts import BODY, HIGHEST, LOWEST, bases, lift_for
from preview.trade.catalogue import LiftRow

Floats = NDArray[np.float64]

LAMP: Final = 0.2
"""Metres from a lamp's middle to where the rest of it is asked whether it can be seen."""
SHADED: Final = 0.3
"""Share of the lamp hidden from the mark from which it is lit no more: half a stop."""
SWAY: Final = 0.5
"""Metres that what is hung keeps from coming into frame or out from behind what hides it: lifts sway, cameras reframe.
Common practice, no source."""
HEAD_ROOM: Final = 0.5
NEAR_ZENITH: Final = 80.0
"""Degrees up."""
CLEARS: Final = np.arange(0.5, 25.1, 0.5)
"""Metres higher, tried in turn to tell what would clear a thing in the way."""


@dataclass(frozen=True)
class Perch:
    """A place for a lamp, `at` (3,) m. Radians, azimuth and elevation as seen from the mark; metres.

    `height`: above the ground under its base. `shade`: share of it hidden from the mark; `faces_shade` from each face.
    `footing`: what its base is on and beside; `clear_deg`: degrees at the lens between the nearest of it and the nearest
    frame, as a plain outline, inf where no camera looks that way. `why`: what is against it, empty where it can be used;
    `remedy`: what would help.
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
    footing: Footing | None = None
    clear_deg: float = inf
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
        trouble, clear_deg = ground_trouble(around, lift, perch.at, base), inf
        if trouble is None:
            trouble, clear_deg = shown(around, lift, perch.at, base)
        if trouble is None:
            height = float(perch.at[2] - around.scene.terrain.footing(*base))
            on = footing_of(around, lift, base)
            return replace(perch, base=base, height=height, footing=on, clear_deg=clear_deg)
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


def shown(around: Around, lift: LiftRow, at: Floats, base: tuple[float, float]) -> tuple[str | None, float]:
    """What frames show of a plain outline of head and lift, in words, None for nothing; degrees that it clears them by."""
    foot = np.array([*base, around.scene.terrain.footing(*base)])
    signs = np.array([[x, y, z] for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
    share = np.linspace(0.0, 1.0, 25)[:, None]
    mast = foot + share * (at - foot)
    wide = 0.5 * lift.across
    high = BODY if lift.reaches > 0.0 else 1.2
    corners = foot + signs * [wide, wide, 0.5 * high] + [0.0, 0.0, 0.5 * high]
    thick = np.array([0.2, 0.0, 0.0])
    outline = np.concatenate([at + HEAD_ROOM * signs, mast, mast + thick, mast - thick, corners])
    shows, close, clear_deg = [], [], inf
    for watcher in around.watchers:
        inside = (outside(watcher.view, outline) <= 0.0).all(axis=1)
        seen = np.ones(len(outline), bool) if not inside.any() else free(watcher, outline)
        if (seen & inside).any():
            shows.append(watcher.setup)
            continue
        if seen.any():
            gap = clearance(watcher.view, outline[seen])
            clear_deg = min(clear_deg, gap.degrees)
            if gap.metres < SWAY:
                close.append(watcher.setup)
                continue
        if inside.any() and _peeps(watcher, outline):
            close.append(watcher.setup)
    if shows:
        return f"in shot in {' and '.join(shows)}", 0.0
    if close:
        return f"less than {SWAY:g} m from showing in {' and '.join(close)}", 0.0
    return None, clear_deg


def across_frame(view: View) -> tuple[Floats, ...]:
    """The ways (3,) m that `SWAY` moves a thing across a frame: right, left, up, down."""
    right, up = SWAY * view.right, SWAY * view.up
    return right, -right, up, -up


def _peeps(watcher: Watcher, places: Floats) -> bool:
    """Whether any of places (n, 3) that a frame does not show would show if they all moved by `SWAY` across it."""
    for way in across_frame(watcher.view):
        moved = places + way
        moved = moved[(outside(watcher.view, moved) <= 0.0).all(axis=1)]
        if len(moved) and free(watcher, moved).any():
            return True
    return False


def free(watcher: Watcher, places: Floats) -> NDArray[np.bool_]:
    """Of places (n, 3), those that nothing hides from a camera."""
    return np.asarray(blockers(watcher.view.position, places, watcher.world, watcher.rays) == FREE, bool)


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
