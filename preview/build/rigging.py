"""Rigging: what the crew would see of a fixture, in plain shapes: head, stand, frame, cloth, lens."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from preview.build.mesh import Floats, Part, flat
from preview.build.solids import boxes, framed, quads, round_bar, turned_on_lathe
from preview.build.tubes import across, unit

Shape = Literal["beam", "panel", "ball"]

Footing = float | Callable[[float, float], float]
"""Height of what stands stand on, metres: one, or one at each plan point."""

BEHIND_LENS = 0.006
"""How far a housing stays behind its aperture, metres, so that it never cuts the light."""
SECTION = 1.3
"""Height that one section of a stand adds, metres. From memory, typical."""
STEEP = float(np.sin(np.radians(55)))
"""Sine of the tilt beyond which a stand right under its head would be in its light."""


def together(name: str, material: str, parts: Sequence[Part]) -> Part:
    """One part of several."""
    starts = np.cumsum([0] + [len(part.vertices) for part in parts])
    return Part(
        name,
        material,
        np.concatenate([part.vertices for part in parts]),
        np.concatenate([part.faces + start for part, start in zip(parts, starts, strict=False)]).astype(
            np.int32
        ),
        np.concatenate([part.normals for part in parts]),
    )


def rod(start: ArrayLike, end: ArrayLike, radius: float, *, sides: int = 8) -> Part:
    """A round bar with flat ends."""
    ends = np.array([start, end], dtype=float)
    axis = unit(ends[1] - ends[0])
    first, second = across(axis)
    turn = 2.0 * np.pi * np.arange(sides)[:, None] / sides
    # Second, first and the axis are right-handed.
    round_about = np.cos(turn) * second + np.sin(turn) * first
    rings = (ends[:, None] + radius * round_about).reshape(-1, 3)
    side = np.arange(sides)
    beside = (side + 1) % sides
    fan = np.stack([np.zeros(sides - 2, int), side[1:-1], side[2:]], axis=1)
    faces = np.concatenate(
        [
            np.stack([side, beside, beside + sides], axis=1),
            np.stack([side, beside + sides, side + sides], axis=1),
            2 * sides + fan[:, ::-1],
            3 * sides + fan,
        ]
    ).astype(np.int32)
    normals = np.concatenate(
        [round_about, round_about, np.tile(-axis, (sides, 1)), np.tile(axis, (sides, 1))]
    )
    return Part("", "", np.concatenate([rings, rings]), faces, normals)


def bar(start: Floats, end: Floats, *, wide: Floats, width: float, depth: float) -> Part:
    """A bar of rectangular section; `wide` (3,) unit, square to it, is the way that `width` is measured."""
    along = end - start
    length = float(np.linalg.norm(along))
    along = along / length
    low = [-width / 2, -depth / 2, 0.0]
    triangles = boxes(low, [width / 2, depth / 2, length])
    return flat("", "", framed(triangles, start, wide, np.cross(along, wide), along))


def sphere(
    name: str, material: str, centre: ArrayLike, radius: float, *, height: float | None = None
) -> Part:
    """A ball; with a `height` other than 2 radius, an upright spheroid."""
    polar = np.linspace(0.0, np.pi, 13)
    upright = radius if height is None else height / 2
    profile = np.stack([radius * np.sin(polar), -upright * np.cos(polar)], axis=1)
    profile[[0, -1], 0] = 0.0
    return turned_on_lathe(name, material, profile, centre=centre)


def rectangle(
    name: str, material: str, centre: Floats, axis: Floats, size_m: tuple[float, float], *, turn: float = 0.0
) -> Part:
    """A flat rectangle that faces along unit `axis`, its width level, or turned by `turn` about the axis."""
    width, height = turned_across(axis, turn)
    half_width, half_height = 0.5 * size_m[0] * width, 0.5 * size_m[1] * height
    corners = centre + np.array(
        [
            half_width - half_height,
            -half_width - half_height,
            -half_width + half_height,
            half_width + half_height,
        ]
    )
    # Width lies to the right of somebody who looks along the axis, so who faces the rectangle has it on the left.
    return flat(name, material, quads(corners[None]))


def turned_across(axis: Floats, turn: float) -> tuple[Floats, Floats]:
    """Width and height square to unit `axis`, turned about it by `turn` radians, clockwise as one looks along it."""
    width, height = across(axis)
    return np.cos(turn) * width - np.sin(turn) * height, np.cos(turn) * height + np.sin(turn) * width


def disc(name: str, material: str, centre: Floats, axis: Floats, diameter: float) -> Part:
    """A flat disc of 32 triangles that faces along unit `axis`."""
    first, second = across(axis)
    turn = np.linspace(0.0, 2.0 * np.pi, 33)[:-1, None]
    # First, second, minus the axis are right-handed: counterclockwise seen from the front runs backwards.
    rim = centre + 0.5 * diameter * (np.cos(turn) * first - np.sin(turn) * second)
    faces = np.array([[32, side, (side + 1) % 32] for side in range(32)], dtype=np.int32)
    return Part(name, material, np.concatenate([rim, centre[None]]), faces, np.tile(axis, (33, 1)))


def head_parts(
    name: str,
    *,
    at: ArrayLike,
    aim: ArrayLike,
    shape: Shape,
    aperture_m: float | None,
    size_m: tuple[float, float] | None,
    stand: bool,
    body_m: tuple[float, float, float] | None = None,
    turn: float = 0.0,
    ground: Footing = 0.0,
) -> list[Part]:
    """`NAME.head` (housing with yoke) and, with `stand`, `NAME.stand` down to the height `ground`.

    `at` (3,) is the middle of the aperture, of a ball its middle; `aim` (3,) the way it looks, any length but 0.
    `body_m` is the width, height and depth of the housing, where they are known; `turn` (radians) turns it about the
    beam, clockwise as the light goes. Without a stand a head hangs from its yoke. A head that sits on the ground gets
    no stand.
    """
    middle, axis = np.asarray(at, dtype=float), unit(np.asarray(aim, dtype=float))
    if shape == "ball":
        body, foot = _ball_body(middle, aperture_m or 0.6, standing=stand)
    elif shape == "panel":
        body, foot = _panel_body(middle, axis, size_m or (0.6, 0.6), body_m, turn, standing=stand)
    else:
        body, foot = _beam_body(middle, axis, aperture_m or 0.25, body_m, turn, standing=stand)
    parts = [together(f"{name}.head", "black", body)]
    below = height_under(foot, ground)
    if stand and foot[2] - below > 0.05:
        facing = float(np.arctan2(axis[0], axis[1]))
        parts.append(together(f"{name}.stand", "metal", stand_pieces(foot, below, facing)))
    return parts


def aperture_part(
    name: str,
    *,
    at: ArrayLike,
    aim: ArrayLike,
    shape: Shape,
    aperture_m: float | None,
    size_m: tuple[float, float] | None,
    turn: float = 0.0,
) -> Part:
    """`NAME.lens`: the surface that shines, a disc, a rectangle or a ball, about `at` (3,), facing along `aim`.

    A rectangle is turned about its beam by `turn` radians, clockwise as the light goes.
    """
    middle, axis = np.asarray(at, dtype=float), unit(np.asarray(aim, dtype=float))
    if shape == "ball":
        return sphere(f"{name}.lens", "glass", middle, 0.5 * (aperture_m or 0.6))
    if shape == "panel":
        return rectangle(f"{name}.lens", "glass", middle, axis, size_m or (0.6, 0.6), turn=turn)
    return disc(f"{name}.lens", "glass", middle, axis, aperture_m or 0.25)


def _beam_body(
    middle: Floats,
    axis: Floats,
    aperture: float,
    body: tuple[float, float, float] | None,
    turn: float,
    *,
    standing: bool,
) -> tuple[list[Part], Floats]:
    """A drum behind the aperture, closed and narrower at its back; a box behind a short barrel where it is no drum."""
    radius, depth = 0.58 * aperture + 0.015, 1.05 * aperture + 0.08
    barrel = 1.0
    half = np.array([radius, radius])
    if body is not None:
        # A housing is never narrower than what shines out of it.
        half, depth = np.maximum(0.5 * np.array(body[:2]), 0.5 * aperture + 0.01), body[2]
        barrel = 1.0 if half[0] == half[1] else 0.3
        radius = float(half.min())
    along = np.array([0.0, 0.0, 0.06, 0.06, 0.78, 0.78, 1.0]) * barrel * depth + BEHIND_LENS
    radii = np.array([1.0, 1.0, 1.0, 0.94, 0.94, 0.87, 0.62]) * radius
    if body is None:
        radii = np.array([1.06, 1.06, 1.06, 1.0, 1.0, 0.92, 0.66]) * radius
    pieces = [round_bar("", "", middle - along[:, None] * axis, radii, sides=24)]
    if barrel < 1.0:
        width, height = turned_across(axis, turn)
        start = BEHIND_LENS + 0.5 * barrel * depth
        box = boxes([-half[0], -half[1], start], [half[0], half[1], BEHIND_LENS + depth])
        pieces.append(flat("", "", framed(box, middle, width, height, -axis)))
    pivot = middle - (0.5 * depth + BEHIND_LENS) * axis
    wide, tall = _extent(half, turn) if body is not None else (1.06 * radius, radius)
    yoke, foot = _yoke(pivot, axis, wide, float(np.hypot(tall, 0.55 * depth)), standing=standing)
    return [*pieces, *yoke], foot


def _panel_body(
    middle: Floats,
    axis: Floats,
    size: tuple[float, float],
    body: tuple[float, float, float] | None,
    turn: float,
    *,
    standing: bool,
) -> tuple[list[Part], Floats]:
    """A shallow tray behind the panel."""
    width, height = turned_across(axis, turn)
    depth, rim = float(np.clip(0.12 * min(size), 0.03, 0.1)), 0.012
    half = np.array([0.5 * size[0] + rim, 0.5 * size[1] + rim])
    if body is not None:
        half, depth = np.maximum(half - rim, 0.5 * np.array(body[:2])), body[2]
    # Width, height, minus the axis are a right-handed frame.
    tray = boxes([-half[0], -half[1], BEHIND_LENS], [half[0], half[1], BEHIND_LENS + depth])
    part = flat("", "", framed(tray, middle, width, height, -axis))
    pivot = middle - (BEHIND_LENS + 0.5 * depth) * axis
    wide, tall = _extent(half, turn)
    yoke, foot = _yoke(pivot, axis, wide, float(np.hypot(tall, depth)), standing=standing)
    return [part, *yoke], foot


def _extent(half: Floats, turn: float) -> tuple[float, float]:
    """Half the level width and half the height of a rectangle of half sizes (2,) that is turned."""
    cosine, sine = abs(np.cos(turn)), abs(np.sin(turn))
    return float(cosine * half[0] + sine * half[1]), float(sine * half[0] + cosine * half[1])


def _ball_body(middle: Floats, diameter: float, *, standing: bool) -> tuple[list[Part], Floats]:
    """A collar and a short pipe that carry the ball from below, or from above where it hangs."""
    way = np.array([0.0, 0.0, -1.0 if standing else 1.0])
    radius = 0.5 * diameter
    collar = min(0.09, 0.2 * diameter)
    start, end = middle + 1.002 * radius * way, middle + (1.002 * radius + 0.6 * collar) * way
    foot = end + 0.12 * way
    return [rod(start, end, collar, sides=16), rod(end, foot, 0.018)], foot


def _yoke(
    pivot: Floats, axis: Floats, half_width: float, clear: float, *, standing: bool
) -> tuple[list[Part], Floats]:
    """A stirrup that holds the housing at both sides; where the stand goes on below it (above it, where it hangs).

    The stirrup swings back from the light's way. A steep head is carried out on an arm, clear of its stand.
    """
    width, _ = across(axis)
    upright = np.array([0.0, 0.0, -1.0 if standing else 1.0])
    lean = max(float(upright @ axis), 0.0)
    way = unit(upright - 1.05 * lean * axis)
    gap = 0.02 + 0.01 * half_width
    drop = (clear + 0.03) * way
    strap = float(np.clip(0.12 * half_width, 0.018, 0.05))
    sides = [-width, width]
    ends = [pivot + (half_width + gap) * side for side in sides]
    pieces = [bar(end - 0.5 * strap * way, end + drop, wide=width, width=0.006, depth=strap) for end in ends]
    pieces.append(bar(ends[0] + drop, ends[1] + drop, wide=np.cross(way, width), width=strap, depth=0.006))
    # Pivots reach from the straps into the housing.
    pieces += [
        rod(end, pivot + 0.9 * half_width * side, 0.012) for side, end in zip(sides, ends, strict=True)
    ]
    joint = pivot + drop
    if lean > STEEP:
        level = np.array([-axis[0], -axis[1], 0.0])
        back = unit(level) if level @ level > 1e-12 else np.array([0.0, 1.0, 0.0])
        knuckle = joint + 0.05 * way
        pieces.append(rod(joint, knuckle, 0.014))
        joint = knuckle + (clear + 0.5) * back
        pieces.append(rod(knuckle, joint, 0.014))
    foot = joint + 0.1 * upright
    pieces.append(rod(joint, foot, 0.014))
    return pieces, foot


def height_under(point: Floats, ground: Footing) -> float:
    """Height of the ground under a point (3,), metres."""
    return ground(float(point[0]), float(point[1])) if callable(ground) else ground


def stand_pieces(top: Floats, ground: float, turn: float) -> list[Part]:
    """A column of sections from `top` (3,) down to three legs on the ground; the taller, the thicker.

    One leg points the way `turn` (azimuth), under the load.
    """
    height = float(top[2] - ground)
    sections = int(np.clip(np.ceil(height / SECTION), 1, 4))
    spread = float(np.clip(0.3 * height, 0.3, 1.1))
    hub = min(0.55 * spread + 0.1, 0.6 * height)
    low = min(0.12, 0.3 * height)
    cuts = np.linspace(low, height, sections + 1)
    base = np.array([top[0], top[1], ground])
    up = np.array([0.0, 0.0, 1.0])
    radii = 0.011 + 0.0035 * np.arange(sections)[::-1]
    pieces = [
        rod(base + below * up, base + above * up, radius)
        for below, above, radius in zip(cuts[:-1], cuts[1:], radii, strict=True)
    ]
    pieces += [rod(base + (cut - 0.03) * up, base + (cut + 0.02) * up, 0.024) for cut in cuts[1:-1]]
    leg = 0.009 + 0.0015 * sections
    for third in range(3):
        azimuth = turn + third * 2.0 * np.pi / 3.0
        out = np.array([np.sin(azimuth), np.cos(azimuth), 0.0])
        foot = base + spread * out + leg * up
        shoulder = base + hub * up
        pieces.append(rod(shoulder, foot, leg, sides=6))
        pieces.append(rod(base + low * up, 0.5 * (shoulder + foot), 0.7 * leg, sides=6))
    # A leg leans, so the rim of its end would dip under the ground.
    return [_above(piece, ground) for piece in pieces]


def _above(part: Part, ground: float) -> Part:
    vertices = part.vertices.copy()
    vertices[:, 2] = np.maximum(vertices[:, 2], ground)
    return Part(part.name, part.material, vertices, part.faces, part.normals)
