"""Sight of the moon: when its disc is in a setup's frame, and what of the set then stands before it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from math import atan, cos, log2, radians, sin, tan, tau
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.bearing import Bearing, bearing
from preview.camera.exposure import GREY, exposure_scale
from preview.camera.framing import view_of
from preview.camera.view import View
from preview.light.sky import towards
from preview.night.ephemeris import Moon, moon_at
from preview.night.moonlight import disc_luminance
from preview.night.observer import Observer
from preview.script.models.cast import Mark
from preview.script.real_moon import in_plan
from preview.script.scene import Scene
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]
State = Literal["clear", "part", "hidden"]

STEP: Final = timedelta(minutes=1)
LOOK: Final = timedelta(minutes=10)
CLOSE: Final = radians(2.5)
"""How far from the frame the moon is looked for: in half of LOOK it goes 1.3 degrees, and its disc has half a degree."""
SHORTEST: Final = 6
"""Minutes: what changes again and again in less, as behind leaves, is one stretch in which the disc is partly hidden."""
RINGS: Final = ((0.0, 1), (0.5, 4), (0.92, 8))
"""Where the disc is looked at: share of its radius, and how many places on that ring."""
SEEN: Final = 0.9
"""Share of the disc from which it counts as clear; from the rest to 1 less it counts as hidden."""
NARROW: Final = np.float32(1e-3)
"""Tangent of what is added all round, for what rounding takes."""
FAR: Final = 1e6
"""Metres at which a direction is taken for a place, to project it."""


@dataclass(frozen=True)
class Stretch:
    """A time when the disc is in frame. `behind`: the piece that hides most of it, if any does."""

    start: datetime
    end: datetime
    state: State
    behind: str | None


@dataclass(frozen=True)
class Sight:
    """What one setup sees of the moon in a night, and where its light comes from at the main mark."""

    scene: Scene
    view: View
    mark: str
    place: Floats
    stretches: tuple[Stretch, ...]

    @property
    def setup(self) -> str:
        return self.scene.setup

    @property
    def in_shot(self) -> tuple[Stretch, ...]:
        """The stretches in which something of the disc is seen."""
        return tuple(one for one in self.stretches if one.state != "hidden")

    def bearing(self, moon: Moon) -> Bearing:
        """Where moonlight comes from, in the camera's words."""
        return bearing(way(self.scene, moon), self.place, self.view)

    def at(self, when: datetime) -> Stretch | None:
        """The stretch that an instant lies in."""
        return next((one for one in self.stretches if one.start <= when <= one.end), None)

    def off(self, moon: Moon) -> str:
        """Where the moon is that is not in frame: `off left`, `above the frame`, `behind the camera`."""
        (u, v), depth = self._projected(moon)
        if depth <= 0.0:
            return "behind the camera"
        beyond = {"off left": -u, "off right": u - 1.0, "above the frame": -v, "below the frame": v - 1.0}
        return max(beyond, key=lambda side: beyond[side])

    def _projected(self, moon: Moon) -> tuple[tuple[float, float], float]:
        uv, depth = self.view.project((self.view.position + FAR * way(self.scene, moon))[None])
        return (float(uv[0, 0]), float(uv[0, 1])), float(depth[0])

    def stops(self, moon: Moon) -> float | None:
        """Stops over grey of the disc's lit part as this setup is exposed, in clear air; None where it gives no light."""
        assert self.scene.night is not None
        luminance = disc_luminance(moon, extinction=self.scene.night.extinction)
        return log2(luminance * exposure_scale(self.scene.camera) / GREY) if luminance > 0.0 else None


def way(scene: Scene, moon: Moon) -> Floats:
    """The unit direction (3,) in the script's plan towards the moon."""
    assert scene.place is not None
    return towards(azimuth=in_plan(moon.azimuth, scene.place), elevation=moon.height)


def main_mark(scene: Scene) -> tuple[str, Floats]:
    """The script's first mark, else the first figure's face, else what the camera aims at."""
    from preview.commands.metering.readings import receptor_at

    marks = scene.marks or tuple(Mark(name=f"{figure.name}.face") for figure in scene.cast[:1])
    if marks:
        return marks[0].name, np.asarray(receptor_at(scene, marks[0]).position, np.float64)
    return "what the camera aims at", scene.point(scene.camera.aim)


class Sets:
    """Sets already built; setups that move nothing share one. What `store` has is not built again."""

    def __init__(self, store: AnyStore | None) -> None:
        self._store = store
        self._built: list[tuple[Scene, World]] = []

    def solid(self, scene: Scene) -> World:
        """What of a scene's set stops the eye; panes do not."""
        for other, world in self._built:
            if other.set == scene.set and other.cast == scene.cast:
                return world
        from preview.commands.kept_set import set_of

        world = set_of(scene, self._store)[0].world
        self._built.append((scene, world))
        return world


def sight_of(scene: Scene, observer: Observer, times: tuple[datetime, datetime], sets: Sets) -> Sight:
    """What a scene's camera sees of the moon between two instants."""
    mark, place = main_mark(scene)
    sight = Sight(scene, view_of(scene), mark, place, ())
    moons = [
        (at, moon) for at in _minutes_about(sight, observer, times) if (moon := moon_at(observer, at)).is_up
    ]
    if not moons:
        return sight
    discs = np.stack([_disc(way(scene, moon), moon.radius) for _, moon in moons])
    inside = _inside(sight.view, discs)
    framed = np.flatnonzero(inside.any(axis=1))
    if not len(framed):
        return sight
    hidden, names = _hidden(sight.view, discs[framed], sets.solid(scene))
    states = {}
    for row, index in enumerate(framed):
        seen = inside[index] & ~hidden[row]
        share = seen.sum() / inside[index].sum()
        state: State = "clear" if share >= SEEN else "hidden" if share <= 1.0 - SEEN else "part"
        states[moons[index][0]] = state, Counter(names[row][hidden[row]].tolist())
    return Sight(scene, sight.view, mark, place, stretches_of(states))


def _minutes_about(sight: Sight, observer: Observer, times: tuple[datetime, datetime]) -> list[datetime]:
    """The minutes between two instants near which the moon is in frame, or close to it."""
    start, end = times
    wide, high = (
        tan(min(atan(half) + CLOSE, 1.5)) for half in (sight.view.tan_half_width, sight.view.tan_half_height)
    )
    about = replace(sight.view, tan_half_width=wide, tan_half_height=high)
    many = round(LOOK / STEP)
    found: list[datetime] = []
    for first in range(0, int((end - start) / STEP) + 1, many):
        middle = moon_at(observer, start + (first + many / 2.0) * STEP)
        if _inside(about, way(sight.scene, middle)[None])[0]:
            found += [start + step * STEP for step in range(first, first + many)]
    return [at for at in found if at <= end]


def _disc(middle: Floats, radius: float) -> Floats:
    """Unit directions (n, 3) spread over a disc."""
    side = np.cross(middle, [0.0, 0.0, 1.0])
    side = side / np.linalg.norm(side) if np.linalg.norm(side) > 1e-9 else np.array([1.0, 0.0, 0.0])
    over = np.cross(side, middle)
    ways = [
        middle + np.tan(share * radius) * (cos(turn) * side + sin(turn) * over)
        for share, count in RINGS
        for turn in (tau * step / count for step in range(count))
    ]
    spread = np.array(ways)
    return spread / np.linalg.norm(spread, axis=1, keepdims=True)


def _inside(view: View, ways: Floats) -> NDArray[np.bool_]:
    """Which of directions (..., 3) lie in the frame."""
    uv, depth = view.project(view.position + FAR * ways.reshape(-1, 3))
    with np.errstate(invalid="ignore"):
        inside = (depth > 0.0) & (uv >= 0.0).all(axis=1) & (uv <= 1.0).all(axis=1)
    return inside.reshape(ways.shape[:-1])


def _hidden(view: View, ways: Floats, world: World) -> tuple[NDArray[np.bool_], NDArray[Any]]:
    """Which of directions (m, n, 3) meet the set, and the names (m, n) of the pieces that they meet."""
    from preview.trace.rays import Rays

    faces = np.flatnonzero(_near(view, world, ways.reshape(-1, 3)))
    directions = ways.reshape(-1, 3).astype(np.float32)
    origins = np.broadcast_to(view.position.astype(np.float32), directions.shape)
    used, corners = np.unique(world.faces[faces], return_inverse=True)
    few = Rays(world.vertices[used], corners.reshape(-1, 3).astype(np.int32))
    hit = few.hit(np.ascontiguousarray(origins), directions)
    met = hit.face >= 0
    pieces = np.array([name.partition(".")[0] for name in world.names] or [""])
    part = world.part_of_face[faces[np.maximum(hit.face, 0)]] if len(faces) else np.zeros(len(met), int)
    shape = ways.shape[:-1]
    return met.reshape(shape), pieces[part].reshape(shape)


def _near(view: View, world: World, ways: Floats) -> NDArray[np.bool_]:
    """Which faces (f,) of a world may lie in the way of directions (n, 3), all before the camera: those that are not
    wholly off one side of the pyramid about them. Few are, so that the tree of the rest is built in no time."""
    axes = np.stack([view.right, view.up, view.forward]).astype(np.float32)
    right, up, forward = (axis @ ways.T.astype(np.float32) for axis in axes)
    across, upright = right / forward, up / forward
    away = world.vertices - view.position.astype(np.float32)
    right, up, forward = (away @ axis for axis in axes)
    sides = (
        forward < 0.0,
        right > (across.max() + NARROW) * forward,
        right < (across.min() - NARROW) * forward,
        up > (upright.max() + NARROW) * forward,
        up < (upright.min() - NARROW) * forward,
    )
    near = np.ones(len(world.faces), bool)
    for side in sides:
        near &= ~side[world.faces].all(axis=1)
    return near


def stretches_of(states: Mapping[datetime, tuple[State, Counter[str]]]) -> tuple[Stretch, ...]:
    """Minutes in frame put together: gaps part them, and what flickers is one stretch partly hidden."""
    times = sorted(states)
    groups: list[list[datetime]] = []
    for at in times:
        if groups and at - groups[-1][-1] <= STEP:
            groups[-1].append(at)
        else:
            groups.append([at])
    found: list[Stretch] = []
    for group in groups:
        runs = [(state, list(run)) for state, run in groupby(group, key=lambda at: states[at][0])]
        for state, run in _steadied(runs):
            behind: Counter[str] = Counter()
            for at in run:
                behind += states[at][1]
            name = behind.most_common(1)[0][0] if behind and state != "clear" else None
            found.append(Stretch(run[0] - STEP / 2, run[-1] + STEP / 2, state, name))
    return tuple(found)


def _steadied(runs: Sequence[tuple[State, list[datetime]]]) -> list[tuple[State, list[datetime]]]:
    """Runs put together: short ones that follow one another are one in which the disc is partly hidden."""
    steady: list[tuple[State, list[datetime]]] = []
    for is_short, group in groupby(runs, key=lambda run: len(run[1]) < SHORTEST):
        several = list(group)
        if is_short and len(several) > 1:
            several = [("part", [at for _, run in several for at in run])]
        for state, run in several:
            if steady and steady[-1][0] == state:
                steady[-1][1].extend(run)
            else:
                steady.append((state, list(run)))
    return steady
