"""Held: where receptors are held about a mark: as a hand would hold them, outside whoever or whatever they are held to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.world import World
from preview.camera.bearing import away_from_lens
from preview.commands.metering.readings import HELD_OFF, Receptor
from preview.commands.prepare import Ready
from preview.script import figure_plan
from preview.script.figure_plan import Stance, stance
from preview.script.models.cast import Figure
from preview.script.people import PEOPLE
from preview.script.scene import Scene
from preview.script.standing import footing_of
from preview.trace.digest import digest, program_digest
from preview.trace.keys import set_digest
from preview.trace.sampling import spread_points
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]
Array = NDArray[np.float32]

CHEEK: Final = radians(45.0)
"""How far either way a receptor is turned off the way a face looks. Common practice, no source."""
CLEAR: Final = 0.03
"""Metres of air that a receptor keeps to whoever it is held to: half a meter's dome. From memory."""
INSIDE: Final = 0.25
"""Share of all ways in which a receptor sees its owner from within, from which it is inside a coat, a hood or a body: its
own folds and locks show less of their inner sides. Our own choice."""
WITHIN: Final = 0.75
"""The same for a thing: what lies on it or among its leaves sees half of it so."""
STEP: Final = 0.02
"""Metres by which a receptor is moved along the way it faces."""
NEARER: Final = 0.04
"""Metres up to which it is held nearer to somebody, where that is clear: a cheek lies farther back than a nose."""
FARTHER: Final = 0.4
"""Metres up to which it is drawn out else."""
WAYS: Final = 64
"""Directions in which a receptor looks about itself."""


@dataclass(frozen=True)
class Held:
    """The receptors of one mark: flat and dome as it faces, one turned away from the lens, and for a face one at each
    cheek, camera left first; `figure` whose face it is. `drawn_out`: metres that the flat one is held farther out than
    HELD_OFF, to be clear of what the mark is named for; None where nothing within reach is clear."""

    name: str
    flat: Receptor
    dome: Receptor
    back: Receptor
    cheeks: tuple[Receptor, ...] = ()
    figure: Figure | None = None
    left_is_own: str = ""
    drawn_out: float | None = 0.0

    @property
    def receptors(self) -> tuple[Receptor, ...]:
        return self.flat, self.dome, self.back, *self.cheeks

    @property
    def place(self) -> Floats:
        """What it is held before (3,) m."""
        return self.flat.position - (HELD_OFF + (self.drawn_out or 0.0)) * self.flat.facing


def held(ready: Ready, mark: Receptor, figure: Figure | None, *, store: AnyStore) -> Held:
    """What is held at a mark; `figure`: whose face it is, None for another place."""
    if figure is not None:
        return held_with(ready, mark, figure, store=store)[0]
    (flat,), (out,) = clear(ready, (mark,), store=store)
    back = away_from_lens(flat.position, ready.view)
    return Held(mark.name, flat, replace(flat, dome=True), replace(flat, facing=back), drawn_out=out)


def held_with(
    ready: Ready, mark: Receptor, figure: Figure, others: Sequence[Receptor] = (), *, store: AnyStore
) -> tuple[Held, tuple[Receptor, ...]]:
    """What is held at a figure's face, and other receptors about the same figure, clear of it as well."""
    made = stance_of(ready.scene, figure)
    middle = head_axis(made)
    reach = figure_plan.face_forward(figure) + HELD_OFF
    behind = away_from_lens(middle, ready.view)
    ahead, up = made.directed(made.head_turn[:, 1]), made.directed(made.head_turn[:, 2])
    turned = {own: _turned(ahead, up, turn) for own, turn in (("left", -CHEEK), ("right", CHEEK))}
    # Camera left is where the frame's left is; of somebody seen from behind that is their own left.
    left, right = sorted(turned, key=lambda own: float(turned[own] @ ready.view.right))
    ways = (behind, turned[left], turned[right])
    planned = [replace(mark, position=middle + reach * way, facing=way) for way in ways]
    (flat, back, *more), (out, *_) = clear(ready, (mark, *planned, *others), store=store)
    dome = replace(flat, dome=True)
    return Held(mark.name, flat, dome, back, tuple(more[:2]), figure, left, drawn_out=out), tuple(more[2:])


def stance_of(scene: Scene, figure: Figure) -> Stance:
    """A figure as it stands in a scene: posed, turned, looking where the script says."""
    looks_at, gaze = (
        None if place is None else scene.point(place) for place in (figure.looks_at, figure.gaze)
    )
    azimuth = scene.azimuth(figure.facing, np.array([*figure.at, 0.0]))
    return stance(figure, azimuth, looks_at, gaze, footing=footing_of(figure, scene.terrain))


def head_axis(made: Stance, *, above: float = -figure_plan.FACE_BELOW_EYES) -> Floats:
    """The middle of a head (3,) m, however it is bent, so far above its eyes as a share of a man's stature; without it
    at the height of its face."""
    up = np.array([0.0, 0.0, above * PEOPLE["man"].stature])
    return made.world(made.of_head(up * made.head_size))


def _turned(ahead: Floats, axis: Floats, angle: float) -> Floats:
    """A direction turned about an axis at right angles to it, clockwise from its tip."""
    return cos(angle) * ahead + sin(angle) * np.cross(ahead, axis)


def clear(
    ready: Ready, receptors: Sequence[Receptor], *, store: AnyStore
) -> tuple[tuple[Receptor, ...], tuple[float | None, ...]]:
    """Receptors moved along the way each faces until they are clear of what their mark is named for (its owner, the same
    for all), and by how many metres; None for one that would have to go farther than FARTHER, and is left.

    What `store` has of it asks no ray.
    """
    owner = owner_of(receptors[0])
    if not owner:
        return tuple(receptors), (0.0,) * len(receptors)
    places = [(one.position, one.facing) for one in receptors]
    key = digest(program_digest(), set_digest(ready.stage), "held", owner, places)
    known = store.load(key)
    if known is None:
        own = _own(ready.world, owner)
        if own is None:
            return tuple(receptors), (0.0,) * len(receptors)
        body = any(figure.name == owner for figure in ready.scene.cast)
        found = [np.nan if out is None else out for out in _drawn_out(*own, receptors, body=body)]
        known = {"out": np.array(found)}
        store.put(key, known, kind="readings", label=f"{ready.label}: held clear of {owner}")
    outs = tuple(None if np.isnan(out) else float(out) for out in known["out"])
    moved = (
        one if not out else replace(one, position=one.position + out * one.facing)
        for one, out in zip(receptors, outs, strict=True)
    )
    return tuple(moved), outs


def owner_of(receptor: Receptor) -> str:
    """The figure or piece that a receptor's place is named for; empty where it has coordinates."""
    return re.split(r"[.\[]", receptor.of)[0]


def _drawn_out(
    corners: Array, faces: NDArray[np.int32], receptors: Sequence[Receptor], *, body: bool
) -> tuple[float | None, ...]:
    """How many metres farther out each receptor is clear of triangles. `body`: whether they are somebody's, and air is
    kept to them."""
    nearer, farther = (STEP * np.arange(1, round(most / STEP) + 1) for most in (NEARER, FARTHER))
    # Nearer first: farther off, an arm or a shoulder may stand between a small lamp and the meter.
    steps = np.concatenate([[0.0], -nearer if body else [], farther])
    position, facing = (np.array([getattr(one, of) for one in receptors]) for of in ("position", "facing"))
    places = position[:, np.newaxis] + steps[:, np.newaxis] * facing[:, np.newaxis]
    ways = _all_round(WAYS)
    many = np.tile(ways, (places.shape[0] * places.shape[1], 1))
    starts = np.repeat(places.reshape(-1, 3).astype(np.float32), WAYS, axis=0)
    from preview.trace.rays import Rays

    hit = Rays(corners, faces).hit(starts, many)
    met = hit.face >= 0
    first, second, third = corners[faces[np.maximum(hit.face, 0)]].transpose(1, 0, 2)
    outwards = np.einsum("ij,ij->i", np.cross(second - first, third - first), many) > 0.0
    shape = (*places.shape[:2], WAYS)
    within = (met & outwards).reshape(shape).mean(axis=2)
    is_clear = within < (INSIDE if body else WITHIN)
    if body:
        is_clear &= np.where(met, hit.distance, np.inf).reshape(shape).min(axis=2) >= CLEAR
    return tuple(float(steps[int(np.argmax(row))]) if row.any() else None for row in is_clear)


def _own(world: World, owner: str) -> tuple[Array, NDArray[np.int32]] | None:
    """The triangles of one figure or piece: their corners (n, 3) m and faces (m, 3); None where it has none."""
    parts = [i for i, name in enumerate(world.names) if name == owner or name.startswith(f"{owner}.")]
    # Parts lie one after another.
    ends = np.searchsorted(world.part_of_face, np.arange(len(world.names) + 1))
    own = [world.faces[ends[part] : ends[part + 1]] for part in parts]
    faces = np.concatenate(own) if own else np.zeros((0, 3), np.int32)
    if not len(faces):
        return None
    used, numbered = np.unique(faces, return_inverse=True)
    return world.vertices[used], numbered.reshape(-1, 3).astype(np.int32)


def _all_round(count: int) -> Array:
    """Unit vectors (count, 3) spread over all directions."""
    u, v = spread_points(count)
    height, turn = 1.0 - 2.0 * u, 2.0 * np.pi * v
    level = np.sqrt(np.maximum(1.0 - height * height, 0.0))
    return np.stack([level * np.cos(turn), level * np.sin(turn), height], axis=1).astype(np.float32)
