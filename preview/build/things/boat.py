"""Boat: an open rowing boat of lapped planks, with keel, stem, transom, ribs, thwarts, rowlocks and oars."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np

from preview.build.chance import drawn
from preview.build.mesh import Floats, Part, stood
from preview.build.site import Site
from preview.build.solids import round_bar
from preview.build.things.blocks import joined_as, rounded_box
from preview.build.things.sheets import grid_sheet, merged, mirrored, reversed_sheet, rim, sunk
from preview.script.boat_plan import KEEL, heeled, hull, turned_over
from preview.script.models.pieces.vehicles import Boat
from preview.script.vehicle_plan import scale_of

STRAKES = 8
PLANK = 0.011
"""Thickness of a plank, metres: each lies by so much over the one below."""
LAP = 0.16
"""How far planks overlap, as a share of one."""
THWARTS = ((0.13, 0.42), (0.43, 0.24), (0.70, 0.22))
"""Where along the hull thwarts lie, and how deep they are, metres."""
SEAT = 0.36


def build_boat(name: str, model: Boat, site: Site) -> list[Part]:
    """`NAME.planks`, `.inside`, `.keel`, `.thwarts`, `.ribs`, `.gunwale`, `.oars`, `.rowlocks`."""
    scale, azimuth = scale_of(model), site.azimuth(model.facing, model.at)
    return [
        replace(
            stood(_heeled(model, part), azimuth=azimuth, at=model.at, scale=scale),
            name=f"{name}.{part.name}",
            wet=model.wet,
        )
        for part in _local(model.paint, model.inside, model.oars, model.dirt)
    ]


def _heeled(model: Boat, part: Part) -> Part:
    vertices, normals = heeled(part.vertices, model.heel), turned_over(part.normals, model.heel)
    return replace(part, vertices=vertices, normals=normals)


@lru_cache(maxsize=8)
def _local(paint: str, inside: str, oars: str, dirty: float) -> tuple[Part, ...]:
    outer, inner = [], []
    tints: list[Floats] = []
    wear = drawn(3, np.arange(2 * STRAKES), 7)
    for strake in range(STRAKES):
        sheet = _strake(strake)
        out = merged([sheet, rim(sheet, PLANK)])
        back = reversed_sheet(sunk(sheet, PLANK))
        for number, side in enumerate((out, mirrored(out))):
            outer.append(side)
            shade = 1.0 - 0.35 * dirty * wear[0, 2 * strake + number]
            # Scraped and stained below.
            low = np.clip(1.0 - (side.vertices[:, 2] - KEEL) / 0.22, 0.0, 1.0) * dirty
            tints.append((shade * (1.0 - 0.55 * low))[:, None] * np.array([1.0, 0.97, 0.92]))
        inner += [back, mirrored(back)]
    transom = _transom()
    parts = [
        replace(joined_as("planks", paint, outer), tint=np.concatenate(tints).astype(np.float32)),
        joined_as("inside", inside, inner),
        joined_as("transom", inside, transom),
        joined_as("keel", paint, _keel()),
        joined_as("ribs", inside, _ribs()),
        joined_as("gunwale", inside, _gunwales()),
        joined_as("thwarts", inside, _thwarts()),
        joined_as("rowlocks", "tarnished metal", _rowlocks()),
    ]
    if oars == "shipped":
        parts.append(joined_as("oars", "weathered wood", _oars()))
    return tuple(parts)


def _strake(number: int) -> Part:
    """A plank's outer face: its lower edge stands out over the plank below."""
    low, high = number / STRAKES, min((number + 1 + LAP) / STRAKES, 1.0)
    along, local = np.meshgrid(np.linspace(0.0, 1.0, 49), np.linspace(0.0, 1.0, 5), indexing="ij")
    up = low + local * (high - low)
    points, normals = hull(along, up), _normals(along, up)
    out = PLANK * (1.0 - local * (high - low) * STRAKES / (1.0 + LAP)) + 0.0015
    return grid_sheet(points + out[..., None] * normals, normals)


def _normals(along: Floats, up: Floats) -> Floats:
    step = 1e-3
    ahead = hull(np.minimum(along + step, 1.0), up) - hull(np.maximum(along - step, 0.0), up)
    above = hull(along, np.minimum(up + step, 1.0)) - hull(along, np.maximum(up - step, 0.0))
    normals = np.cross(ahead, above)
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=-1, keepdims=True), 1e-12))


def _section(along: float, *, inset: float, low: float = 0.0, high: float = 1.0, count: int = 15) -> Floats:
    """Points (count, 3) of the starboard side at one place along, moved inwards."""
    up = np.linspace(low, high, count)
    place = np.full(count, along)
    return np.asarray(hull(place, up) - inset * _normals(place, up))


def _transom() -> list[Part]:
    half = _section(0.0, inset=0.0, count=21)
    outline = np.concatenate([half, half[::-1] * [-1.0, 1.0, 1.0]])
    centre = np.array([[0.0, half[:, 1].mean(), 0.42]])
    points = np.concatenate([centre, outline])
    rim_at = np.arange(1, len(points))
    faces = np.stack([np.zeros_like(rim_at), rim_at, np.roll(rim_at, -1)], axis=1).astype(np.int32)
    face = Part("", "", points, faces, np.tile([0.0, -1.0, 0.0], (len(points), 1)))
    corners = points[faces]
    if np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 1].sum() > 0:
        face = replace(face, faces=np.ascontiguousarray(faces[:, ::-1]))
    return [merged([face, reversed_sheet(sunk(face, 0.03)), rim(face, 0.03)])]


def _keel() -> list[Part]:
    along = np.linspace(0.02, 0.985, 24)
    low = hull(along, np.zeros(24))
    stem = hull(np.ones(12), np.linspace(0.0, 1.0, 12)) + np.array([0.0, 0.012, 0.0])
    path = np.concatenate([low * [0, 1, 1], stem * [0, 1, 1]])
    bars = []
    for start, end in pairwise(path):
        way = end - start
        length = float(np.linalg.norm(way))
        if length < 1e-6:
            continue
        box = rounded_box((-0.022, -0.004, -0.05), (0.022, length + 0.004, 0.012), 0.006, steps=1)
        ahead = way / length
        rows = np.array([[1.0, 0.0, 0.0], ahead, np.cross([1.0, 0.0, 0.0], ahead)])
        bars.append(replace(box, vertices=box.vertices @ rows + start, normals=box.normals @ rows))
    return bars


def _ribs() -> list[Part]:
    ribs = []
    for along in np.linspace(0.07, 0.93, 15):
        half = _section(float(along), inset=PLANK * 0.2 + 0.004, low=0.02)
        bar = round_bar("", "", half, np.full(len(half), 0.011), sides=6)
        ribs += [bar, mirrored(bar)]
    return ribs


def _gunwales() -> list[Part]:
    along = np.linspace(0.0, 1.0, 40)
    line = hull(along, np.ones(40)) + np.array([0.004, 0.0, -0.004])
    bar = round_bar("", "", line, np.full(40, 0.021), sides=10)
    return [bar, mirrored(bar)]


def _thwarts() -> list[Part]:
    boards = []
    for along, deep in THWARTS:
        y = float(hull(np.array(along), np.array(1.0))[1])
        half = min(_half_width(along + shift, SEAT - 0.028) for shift in (-deep / 8.4, deep / 8.4)) - 0.006
        boards.append(rounded_box((-half, y - deep / 2, SEAT - 0.028), (half, y + deep / 2, SEAT), 0.008))
        boards.append(rounded_box((-0.02, y - 0.02, KEEL), (0.02, y + 0.02, SEAT - 0.02), 0.005, steps=1))
    for x in np.linspace(-0.24, 0.24, 4):
        boards.append(
            rounded_box((x - 0.07, -1.35, KEEL + 0.055), (x + 0.07, 1.05, KEEL + 0.073), 0.005, steps=1)
        )
    # A knee in the bow.
    boards.append(rounded_box((-0.13, 1.66, 0.60), (0.13, 1.86, 0.625), 0.01))
    return boards


def _half_width(along: float, height: float) -> float:
    """Of the inside of the hull at a height."""
    points = _section(along, inset=PLANK, count=60)
    return float(np.interp(height, points[:, 2], points[:, 0])) - 0.002


def _rowlocks() -> list[Part]:
    found = []
    for along in (0.50, 0.76):
        x, y, z = hull(np.array(along), np.array(1.0))
        turn = np.linspace(-0.15 * np.pi, 1.15 * np.pi, 11)
        horn = np.stack([np.full(11, x), y - 0.034 * np.cos(turn), z + 0.075 - 0.040 * np.sin(turn)], axis=1)
        lock = merged([
            round_bar("", "", horn, np.full(11, 0.006), sides=6),
            round_bar("", "", [[x, y, z - 0.03], [x, y, z + 0.037]], [0.008, 0.008], sides=6),
        ])  # fmt: skip
        found += [lock, mirrored(lock)]
    return found


def _oars() -> list[Part]:
    """Two oars on the thwarts, blades to the stern."""
    found = []
    for side in (-1.0, 1.0):
        near, far = np.array([side * 0.20, 1.18, SEAT + 0.028]), np.array([side * 0.30, -1.12, SEAT + 0.028])
        shaft = round_bar(
            "", "", np.linspace(near, far, 6), [0.017, 0.02, 0.023, 0.023, 0.021, 0.019], sides=10
        )
        blade = rounded_box((-0.065, -0.62, -0.006), (0.065, 0.04, 0.006), 0.005)
        taper = 0.45 + 0.55 * np.clip(-blade.vertices[:, 1] / 0.35, 0.0, 1.0)
        shape = np.stack([blade.vertices[:, 0] * taper, blade.vertices[:, 1], blade.vertices[:, 2]], axis=1)
        found += [shaft, replace(blade, vertices=shape + far)]
    return found
