"""Footpath: raked gravel, trodden earth, flagstones or planks along points, with soft edges."""

from __future__ import annotations

from itertools import pairwise
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import noise
from preview.build.land.course import points_of
from preview.build.land.ribbon import Blocks, Way, blocks, is_ring, sheet, together
from preview.build.land.stones import nearest_eye, pebbles
from preview.build.mesh import Floats, Part
from preview.build.site import Site
from preview.script.models.pieces.ground import PATH_MATERIALS, Footpath
from preview.script.street_plan import PATH_HEIGHTS, off_path

FINEST, FINE, WIDEST = 0.06, 1 / 90, 0.5
"""Metres between cross-sections: at the least, over the distance of the nearest eye, and at the most."""
EDGE = 0.22
"""How far beyond its width a path of gravel or earth runs out into the ground, over half its width."""
PLANK, PLANK_GAP, PLANK_THICK = 0.145, 0.008, 0.032
FLAG_JOINT = 0.035
MOST_PLANKS = 6000


def build_footpath(name: str, model: Footpath, site: Site) -> list[Part]:
    """`NAME`, near the eyes `NAME.pebbles`, below planks `NAME.bearers`. UserError for a path without length."""
    way = Way(points_of(name, model.along))
    material = model.material or PATH_MATERIALS[model.kind]
    if model.kind == "flagstones":
        return together([_flags(name, model, material, way, site)])
    if model.kind == "boardwalk":
        return together(_boards(name, model, material, way, site))
    return _soft(name, model, material, way, site)


def _eyes(site: Site) -> Floats:
    eyes = site.eyes.copy()
    eyes[:, 2] -= site.ground(eyes[:, 0], eyes[:, 1])
    return eyes


def _soft(name: str, model: Footpath, material: str, way: Way, site: Site) -> list[Part]:
    """A crowned or trodden strip whose edges run out into the ground, now wider, now narrower."""
    eyes = _eyes(site)
    distance = _stations(way, eyes)
    share = np.concatenate(
        [[-1.0 - EDGE, -1.0 - 0.5 * EDGE], np.linspace(-1.0, 1.0, 13), [1.0 + 0.5 * EDGE, 1.0 + EDGE]]
    )
    s, across = np.meshgrid(distance, share, indexing="ij")
    half = model.width / 2
    plan = way.plan(s, half * across)
    x, y = plan[..., 0].ravel(), plan[..., 1].ravel()
    height = _profile(model, np.abs(across).ravel(), x, y) + site.ground(x, y)
    points = np.concatenate([plan, height.reshape(s.shape)[..., None]], axis=-1)
    parts = [
        sheet(
            name,
            material,
            points,
            0.2,
            wet=model.wet,
            tint=_trodden(model, across, x, y),
            closed=is_ring(way.line),
        )
    ]
    if model.kind == "gravel":
        line = way.line.tolist()
        low, high = way.line.min(axis=0) - model.width, way.line.max(axis=0) + model.width

        def wanted(px: Floats, py: Floats) -> NDArray[np.bool_]:
            return np.asarray(np.abs(off_path(line, px, py)[0]) < half * 1.12)

        def lies(px: Floats, py: Floats) -> Floats:
            offset, _ = off_path(line, px, py)
            return _profile(model, np.abs(offset) / half, px, py) + np.asarray(site.ground(px, py))

        parts += pebbles(name, material, low, high, eyes, lies, wanted, wet=model.wet)
    return parts


def _profile(model: Footpath, across: Floats, x: Floats, y: Floats) -> Floats:
    """Height (n,) m over the ground at shares of the half width: up to its own within it, into the ground beyond."""
    high = PATH_HEIGHTS[model.kind]
    # The edge wanders: what is taken for the share is larger here and smaller there.
    seed = model.seed % 64
    wander = 0.14 * noise(x, y, 0.9, 50 + seed) + 0.09 * noise(x, y, 0.3, 51 + seed)
    edge = np.clip((across + wander - 0.85) / (EDGE + 0.1), 0.0, 1.0)
    fall = edge * edge * (3.0 - 2.0 * edge)
    crown = (
        1.0 - 0.25 * np.minimum(across, 1.0) ** 2
        if model.kind == "gravel"
        else 0.72 + 0.28 * np.minimum(across, 1.0) ** 2
    )
    bumps = 0.004 * noise(x, y, 0.5, 52) + 0.0025 * noise(x, y, 0.16, 53)
    return np.asarray((high * crown + bumps) * (1.0 - fall) - 0.07 * fall)


def _trodden(model: Footpath, across: Floats, x: Floats, y: Floats) -> Floats:
    """Tint (s, u, 3): paler where feet go."""
    middle = np.exp(-((across / 0.5) ** 2))
    patches = noise(x, y, 0.7, 54).reshape(across.shape)
    amount = 0.28 if model.kind == "earth" else 0.12
    shade = 0.9 + amount * middle + 0.18 * patches
    return np.repeat(shade[..., None], 3, axis=-1)


def _stations(way: Way, eyes: Floats) -> Floats:
    """Distances along a path, closer together near the eyes."""
    coarse = way.stations(WIDEST)
    if not len(eyes):
        return coarse
    plan = way.plan(coarse, np.zeros_like(coarse))
    step = np.clip(FINE * nearest_eye(plan[:, 0], plan[:, 1], eyes), FINEST, WIDEST)
    count = np.ceil(np.diff(coarse) / np.minimum(step[:-1], step[1:])).astype(int)
    start = np.repeat(coarse[:-1], count)
    within = np.arange(len(start)) - np.repeat(np.cumsum(count) - count, count)
    return np.append(start + within * np.repeat(np.diff(coarse) / count, count), coarse[-1])


def _flags(name: str, model: Footpath, material: str, way: Way, site: Site) -> Part | None:
    """Rows of flags, no two rows alike, each flag a little askew."""
    rng = np.random.default_rng([crc32(name.encode()), model.seed])
    size = max(0.5, way.length / 1500)
    count = max(1, round(way.length / size))
    edges = np.concatenate([[0.0], np.cumsum(0.75 + 0.5 * rng.random(count))])
    edges *= way.length / edges[-1]
    columns = max(1, round(model.width / 0.55))
    rows = []
    for start, end in pairwise(edges):
        number = max(1, columns + int(rng.integers(-1, 2)))
        cuts = np.concatenate([[0.0], np.cumsum(0.7 + 0.6 * rng.random(number))])
        cuts = (cuts / cuts[-1] - 0.5) * model.width
        ragged = 0.03 * model.width * (rng.random(2) - 0.5)
        cuts[[0, -1]] += ragged
        rows.append(np.column_stack([np.full(number, start), np.full(number, end), cuts[:-1], cuts[1:]]))
    start, end, left, right = np.concatenate(rows).T
    gap = FLAG_JOINT * (0.5 + rng.random((2, len(start)))) / 2
    shade = (0.75 + 0.4 * rng.random((len(start), 1))) * (1.0 + 0.06 * (rng.random((len(start), 3)) - 0.5))
    flags = Blocks(start + gap[0], end - gap[0], left + gap[1], right - gap[1], shade)
    tilt = 0.012 * (rng.random((4, len(start))) - 0.5)
    top = PATH_HEIGHTS["flagstones"]
    return blocks(
        name, material, way, flags, lambda x, y: np.asarray(site.ground(x, y)) + top,
        deep=0.2, chamfer=0.012, tilt=tilt, wet=model.wet,
    )  # fmt: skip


def _boards(name: str, model: Footpath, material: str, way: Way, site: Site) -> list[Part | None]:
    """Planks across, none quite like the next, on two bearers that lie on the ground."""
    rng = np.random.default_rng([crc32(name.encode()), model.seed])
    each = max(PLANK + PLANK_GAP, way.length / MOST_PLANKS)
    count = max(1, int(way.length / each))
    edge = np.arange(count) * way.length / count
    half = model.width / 2
    out = 0.02 * (rng.random((2, count)) - 0.5)
    shade = (0.68 + 0.5 * rng.random((count, 1))) * (1.0 + 0.08 * (rng.random((count, 3)) - 0.5))
    planks = Blocks(
        edge + PLANK_GAP / 2, edge + way.length / count - PLANK_GAP / 2, out[0] - half, half + out[1], shade
    )
    lift = 0.004 * (rng.random(count) - 0.5)
    twist = 0.003 * (rng.random(count) - 0.5)
    tilt = np.stack([lift + twist, lift - twist, lift + twist, lift - twist])
    line = way.line.tolist()
    top = PATH_HEIGHTS["boardwalk"]

    def level_across(x: Floats, y: Floats) -> Floats:
        # A plank is straight: both its ends lie as high as its middle.
        reached = off_path(line, x, y)[1]
        middle = way.plan(reached, np.zeros_like(reached))
        return np.asarray(site.ground(middle[:, 0], middle[:, 1])) + top

    found = [
        blocks(
            name,
            material,
            way,
            planks,
            level_across,
            deep=PLANK_THICK,
            chamfer=0.004,
            tilt=tilt,
            wet=model.wet,
        )
    ]
    stations = way.stations(1.2)
    for side in (-1.0, 1.0):
        middle = side * (half - 0.18)
        beams = Blocks(
            stations[:-1], stations[1:], np.full(len(stations) - 1, middle - 0.04),
            np.full(len(stations) - 1, middle + 0.04), np.full((len(stations) - 1, 3), 0.6),
        )  # fmt: skip
        found.append(
            blocks(
                f"{name}.bearers", material, way, beams, lambda x, y: level_across(x, y) - PLANK_THICK - 0.001,
                deep=0.3, wet=model.wet,
            )
        )  # fmt: skip
    return found
