"""Grip: what stands in a head's light or hangs on it, in plain shapes: frames, boards, flags, boxes, doors, snoots.

Every shape is where the light is cut: `centre` (3,) m, unit `axis`, `size_m` (width, height), `turn` radians about the
axis, as `preview.light.vectors.across` has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Part, flat
from preview.build.rigging import (
    Footing,
    bar,
    height_under,
    rectangle,
    rod,
    stand_pieces,
    together,
    turned_across,
)
from preview.build.solids import quads


@dataclass(frozen=True)
class Placed:
    """A rectangle in the world."""

    centre: Floats
    axis: Floats
    size_m: tuple[float, float]
    turn: float = 0.0

    @property
    def half_size(self) -> tuple[float, float]:
        return self.size_m[0] / 2.0, self.size_m[1] / 2.0

    @property
    def sides(self) -> tuple[Floats, Floats]:
        """Unit width and height (3,)."""
        return turned_across(self.axis, self.turn)

    def corners(self, grown: float = 0.0, ahead: float = 0.0) -> Floats:
        """(4, 3): lower left, lower right, upper right, upper left as one looks along the axis, moved out and ahead."""
        width, height = self.sides
        x, y = self.half_size[0] + grown, self.half_size[1] + grown
        signs = np.array([[-x, -y], [x, -y], [x, y], [-x, y]])
        corners: Floats = self.centre + ahead * self.axis + signs @ np.stack([width, height])
        return corners


def frame_parts(
    name: str, placed: Placed, *, stands: bool, cloth: str | None = "white card", ground: Footing = 0.0
) -> list[Part]:
    """`NAME.frame` (square tube), if asked `NAME.frame stand` (two stands) and, of the material `cloth`, `NAME.cloth`.

    A net hides nothing that the eye would miss: without a `cloth` the tube is all that is seen.
    """
    tube = 0.03 if max(placed.size_m) < 2.0 else 0.05
    parts = [together(f"{name}.frame", "metal", _tubes(placed, tube))]
    parts += _stood(name, "metal", placed, tube, ground) if stands else []
    if cloth is not None:
        parts.append(
            rectangle(f"{name}.cloth", cloth, placed.centre, placed.axis, placed.size_m, turn=placed.turn)
        )
    return parts


def board_parts(
    name: str, placed: Placed, *, stands: bool, front: str = "white card", ground: Footing = 0.0
) -> list[Part]:
    """`NAME.frame`, the tube with a black back, if asked `NAME.frame stand`, and `NAME.board`, the front, which faces along
    the axis."""
    tube = 0.03 if max(placed.size_m) < 2.0 else 0.05
    pieces = _tubes(Placed(placed.centre - tube * placed.axis, placed.axis, placed.size_m, placed.turn), tube)
    back = rectangle(
        "", "", placed.centre - 0.01 * placed.axis, -placed.axis, placed.size_m, turn=-placed.turn
    )
    pieces.append(back)
    parts = [together(f"{name}.frame", "black", pieces)]
    parts += _stood(name, "black", placed, tube, ground) if stands else []
    face = rectangle(f"{name}.board", front, placed.centre, placed.axis, placed.size_m, turn=placed.turn)
    return [*parts, face]


def flag_parts(name: str, placed: Placed, *, stands: bool, solid: bool, ground: Footing = 0.0) -> list[Part]:
    """`NAME.flag`: a black cloth on a wire, or the wire alone for a net, on one stand with an arm."""
    pieces = _tubes(placed, 0.012)
    if solid:
        pieces += _two_sided(placed.corners()[None])
    return [together(f"{name}.flag", "black", pieces + _arm(placed, stands, ground))]


def cucoloris_parts(
    name: str, placed: Placed, holes: NDArray[np.bool_], *, stands: bool, ground: Footing = 0.0
) -> list[Part]:
    """`NAME.cucoloris`: a board of wood with holes (rows, columns), row 0 at the bottom, on one stand."""
    rows, columns = holes.shape
    width, height = placed.sides
    low = placed.corners()[0]
    across, up = placed.size_m[0] / columns * width, placed.size_m[1] / rows * height
    runs = []
    for row in range(rows):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], ~holes[row], [0]]).astype(int)))
        for start, end in edges.reshape(-1, 2):
            base = low + row * up
            runs.append(
                [
                    base + start * across,
                    base + end * across,
                    base + end * across + up,
                    base + start * across + up,
                ]
            )
    pieces = _two_sided(np.array(runs)) if runs else []
    return [together(f"{name}.cucoloris", "wood", pieces + _arm(placed, stands, ground))]


def box_parts(
    name: str, placed: Placed, *, depth: float, mouth: float, skirt: float, grid: float | None
) -> list[Part]:
    """`NAME.box`, black sides from a `mouth` (m across) at the head to the front, with the skirt and grid before it;
    `NAME.front`, the cloth. `placed` is the front."""
    small = Placed(placed.centre - depth * placed.axis, placed.axis, (mouth, mouth), placed.turn)
    back, front, rim = small.corners(), placed.corners(0.004), placed.corners(0.004, skirt)
    sides = [[back[i], back[(i + 1) % 4], front[(i + 1) % 4], front[i]] for i in range(4)]
    if skirt > 0.0:
        sides += [[front[i], front[(i + 1) % 4], rim[(i + 1) % 4], rim[i]] for i in range(4)]
    pieces = _two_sided(np.array(sides))
    if grid is not None:
        pieces += _two_sided(_slats(placed, grid))
    face = rectangle(
        f"{name}.front", "white card", placed.centre, placed.axis, placed.size_m, turn=placed.turn
    )
    return [together(f"{name}.box", "black", pieces), face]


def leaf_parts(name: str, leaves: list[Placed]) -> list[Part]:
    """`NAME.doors`: black leaves."""
    return [together(f"{name}.doors", "black", _two_sided(np.array([leaf.corners() for leaf in leaves])))]


def snoot_parts(
    name: str, *, at: Floats, axis: Floats, radius: float, length: float, opening: float
) -> list[Part]:
    """`NAME.snoot`: a black tube, from round the aperture of `radius` to its end, `opening` across."""
    first, second = turned_across(axis, 0.0)
    turn = 2.0 * np.pi * np.arange(25)[:, None] / 24
    ring = np.cos(turn) * first + np.sin(turn) * second
    start, end = at + 1.02 * radius * ring, at + length * axis + 0.5 * opening * ring
    sides = np.stack([start[:-1], start[1:], end[1:], end[:-1]], axis=1)
    return [together(f"{name}.snoot", "black", _two_sided(sides))]


def _two_sided(corners: Floats) -> list[Part]:
    """Quads (n, 4, 3), a millimetre apart from their backs, so that either side is seen."""
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 3] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    shift = 5e-4 * normal[:, None]
    return [flat("", "", quads(corners + shift)), flat("", "", quads(corners[:, ::-1] - shift))]


def _tubes(placed: Placed, tube: float) -> list[Part]:
    """Four tubes just outside a rectangle."""
    width, height = placed.sides
    rise, wide = (placed.half_size[1] + 0.5 * tube) * height, (placed.half_size[0] + 0.5 * tube) * width
    corner, inner = 0.5 * tube * height, 0.5 * tube * width
    left, right = placed.centre - wide, placed.centre + wide
    sides = [
        bar(side - rise - corner, side + rise + corner, wide=width, width=tube, depth=tube)
        for side in (left, right)
    ]
    rails = [
        bar(left + inner + shift, right - inner + shift, wide=height, width=tube, depth=tube)
        for shift in (-rise, rise)
    ]
    return sides + rails


def _stood(name: str, material: str, placed: Placed, tube: float, ground: Footing) -> list[Part]:
    """`NAME.frame stand`: a stand at the middle of each side, where that is above the ground."""
    width, _ = placed.sides
    facing = float(np.arctan2(placed.axis[0], placed.axis[1]))
    pieces = []
    for way in (-width, width):
        side = placed.centre + (placed.half_size[0] + 0.5 * tube) * way
        foot = side + (0.5 * tube + 0.05) * way
        below = height_under(foot, ground)
        if foot[2] - below > 0.05:
            pieces.append(rod(side, foot + 0.03 * way, 0.014))
            pieces.extend(stand_pieces(foot, below, facing))
    return [together(f"{name}.frame stand", material, pieces)] if pieces else []


def _arm(placed: Placed, stands: bool, ground: Footing) -> list[Part]:
    """An arm to the right of a flag with the stand that holds it."""
    width, _ = placed.sides
    edge = placed.centre + placed.half_size[0] * width
    end = edge + 0.5 * width
    below = height_under(end, ground)
    if not stands or placed.centre[2] - below < 0.1 or end[2] - below < 0.05:
        return []
    return [rod(edge, end, 0.008), *stand_pieces(end, below, float(np.arctan2(width[0], width[1])))]


def _slats(placed: Placed, cut_off: float) -> Floats:
    """Slats (n, 4, 3) of an egg-crate: as deep as its cells are wide for their cut-off (full angle), 5 cm deep."""
    deep = 0.05
    cell = max(deep * float(np.tan(cut_off / 2.0)), min(placed.size_m) / 20.0)
    width, height = placed.sides
    ahead = deep * placed.axis
    base = placed.centre + 0.01 * placed.axis
    slats = []
    for size, along, other, reach in (
        (placed.size_m[0], width, height, placed.half_size[1]),
        (placed.size_m[1], height, width, placed.half_size[0]),
    ):
        for place in np.linspace(-size / 2, size / 2, max(2, round(size / cell) + 1))[1:-1]:
            middle = base + place * along
            low, high = middle - reach * other, middle + reach * other
            slats.append([low, high, high + ahead, low + ahead])
    return np.array(slats).reshape(-1, 4, 3)
