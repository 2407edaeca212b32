"""Tents: one layer of cloth that passes light, poles, ropes and pegs; a door folded aside."""

from __future__ import annotations

import numpy as np

from preview.build.chance import noise
from preview.build.mesh import Floats, Part, smooth, stood
from preview.build.site import Site
from preview.build.solids import round_bar
from preview.build.things.blocks import joined_as
from preview.build.things.sheets import cut, grid_sheet, reversed_sheet
from preview.script.camp_plan import tent_size
from preview.script.models.pieces.camp import Tent

PEG = 0.18


def build_tent(name: str, model: Tent, site: Site) -> list[Part]:
    """`NAME.cloth`, both of its sides the same sheet; `.poles`; `.ropes`."""
    width, depth, height = tent_size(model)
    make = {"ridge": _ridge, "dome": _dome, "bell": _bell}[model.kind]
    cloth, poles, ropes = make(width, depth, height, model.door)
    azimuth = site.azimuth(model.facing, model.at)
    parts = []
    for part, material, pieces in (
        ("cloth", model.material, cloth),
        ("poles", "metal", poles),
        ("ropes", "rope", ropes),
    ):
        if pieces:
            whole = joined_as(f"{name}.{part}", material, pieces, wet=model.wet if part == "cloth" else 0.0)
            parts.append(stood(whole, azimuth=azimuth, at=model.at))
    return parts


Pieces = tuple[list[Part], list[Part], list[Part]]


def _cloth(points: Floats) -> Part:
    """A sheet of cloth over a grid of points (rows, columns, 3), slack and wrinkled a little where it is free."""
    rows, columns = points.shape[:2]
    along, across = np.meshgrid(np.linspace(0, 1, rows), np.linspace(0, 1, columns), indexing="ij")
    free = np.clip(16.0 * along * (1 - along) * across * (1 - across), 0.0, 1.0)
    ahead, aside = np.gradient(points, axis=0), np.gradient(points, axis=1)
    normals = np.cross(ahead, aside)
    normals /= np.maximum(np.linalg.norm(normals, axis=-1, keepdims=True), 1e-12)
    wave = 0.012 * noise(points[..., 0] * 1.7 + points[..., 2], points[..., 1], 0.5, seed=2) + 0.005 * noise(
        points[..., 0], points[..., 1] + 2 * points[..., 2], 0.14, seed=6
    )
    sheet = grid_sheet(points + (free * wave)[..., None] * normals, normals)
    return smooth("", "", sheet.vertices, sheet.faces)


def _between(a: Floats, b: Floats, share: Floats) -> Floats:
    return np.asarray(a + share[..., None] * (b - a))


def _guy(high: Floats, low: Floats) -> list[Part]:
    """A rope to a peg."""
    peg = np.array([low[0], low[1], 0.0])
    away = peg - np.array([high[0], high[1], 0.0])
    away /= max(float(np.linalg.norm(away)), 1e-9)
    return [
        round_bar("", "", np.stack([high, peg + np.array([0, 0, 0.05])]), [0.004, 0.004], sides=6),
        round_bar(
            "",
            "",
            np.stack([peg - 0.4 * PEG * away - [0, 0, 0.1], peg + 0.1 * PEG * away + [0, 0, 0.07]]),
            [0.007, 0.007],
            sides=6,
        ),
    ]


def _ridge(width: float, depth: float, height: float, door: float) -> Pieces:
    half, deep = width / 2.0, depth / 2.0
    u, v = np.meshgrid(np.linspace(0, 1, 28), np.linspace(0, 1, 18), indexing="ij")
    cloth = []
    for side in (1.0, -1.0):
        y = (2.0 * u - 1.0) * (deep + 0.06 * (1.0 - v))
        hollow = 0.05 * np.sin(np.pi * v) * (0.4 + 0.6 * np.sin(np.pi * u))
        # The ridge sags between its poles.
        sag = 0.035 * np.sin(np.pi * u) * (1.0 - v)
        x = side * (half * v - 0.6 * hollow)
        z = height * (1.0 - v) - sag - 0.8 * hollow * (1.0 - 0.2 * v)
        sheet = _cloth(np.stack([x, y, np.maximum(z, 0.012 * (1 - v))], axis=-1))
        cloth.append(sheet if side < 0 else reversed_sheet(sheet))
    for end in (1.0, -1.0):
        front = end * (deep - 0.015)
        grid_u, grid_v = np.meshgrid(np.linspace(-1, 1, 25), np.linspace(0, 1, 15), indexing="ij")
        points = np.stack(
            [grid_u * half * grid_v * 0.985, front + 0 * grid_u, height * (1 - grid_v) * 0.985], axis=-1
        )
        sheet = _cloth(points)
        if end > 0 and door > 0.0:
            # The two leaves of the door are folded outwards from the middle.
            x, z = sheet.vertices[:, 0], sheet.vertices[:, 2]
            reach = 0.86 * half * door * np.clip(1.0 - z / (0.93 * height), 0.0, 1.0)
            _, sheet = cut(sheet, np.minimum(reach - np.abs(x), 0.93 * height - z) + 1e-5)
            for side in (-1.0, 1.0):
                edge = np.linspace(0.02, 0.93, 9)
                roll = np.stack(
                    [side * 0.86 * half * door * (1 - edge / 0.93), np.full(9, front + 0.02), height * edge],
                    axis=1,
                )
                cloth.append(round_bar("", "", roll, 0.035 * (1 - 0.7 * edge), sides=10))
        cloth.append(sheet if end > 0 else reversed_sheet(sheet))
    poles = [
        round_bar(
            "",
            "",
            [[0, e * (deep - 0.03), -0.1], [0, e * (deep - 0.03), height + 0.05]],
            [0.014] * 2,
            sides=10,
        )
        for e in (-1, 1)
    ]
    ropes = []
    for end in (1.0, -1.0):
        ropes += _guy(
            np.array([0.0, end * (deep - 0.03), height + 0.04]),
            np.array([0.0, end * (deep + 0.75 * height), 0.0]),
        )
        for side in (1.0, -1.0):
            ropes += _guy(
                np.array([side * half * 0.98, end * deep * 0.97, 0.03]),
                np.array([side * (half + 0.22), end * deep * 1.02, 0.0]),
            )
    return cloth, poles, ropes


def _dome(width: float, depth: float, height: float, door: float) -> Pieces:
    turn, rise = np.meshgrid(np.linspace(0, 2 * np.pi, 97), np.linspace(0, 1, 30), indexing="ij")
    sheet, arch = _dome_sheet(turn, rise, width, depth, height), np.linspace(0, 1, 15)
    x, z, y = sheet.vertices[:, 0], sheet.vertices[:, 2], sheet.vertices[:, 1]
    cloth = []
    if door > 0.0:
        wide, tall = 0.30 * width * door, 0.70 * height
        inside = 1.0 - (np.abs(x) / max(wide, 1e-6)) ** 2.6 - (np.maximum(z - 0.05, 0.0) / tall) ** 2.6
        _, sheet = cut(sheet, np.where(y > 0.0, np.minimum(inside, (z - 0.04) / tall), -1.0) + 1e-5)
        roll = np.stack([np.full(9, -wide - 0.02), np.zeros(9), np.linspace(0.06, 0.55 * height, 9)], axis=1)
        roll[:, 1] = (
            depth
            / 2.0
            * np.sqrt(np.maximum(1.0 - (roll[:, 2] / height) ** 2.2, 0.0))
            * np.cos(2.0 * wide / width)
            + 0.03
        )
        cloth.append(round_bar("", "", roll, 0.04 * np.sin(np.pi * np.linspace(0.12, 0.92, 9)), sides=10))
    cloth.append(sheet)
    poles = []
    for quarter in (0.25, 0.75):
        angles = np.full(15, np.pi * quarter)
        first = _dome_points(angles, arch, width, depth, height)
        second = _dome_points(angles + np.pi, arch[::-1], width, depth, height)
        line = np.concatenate([first, second[1:]]) + np.array([0.0, 0.0, 0.012])
        poles.append(round_bar("", "", line, np.full(len(line), 0.008), sides=8))
    ropes = []
    for angle in np.radians([45.0, 135.0, 225.0, 315.0]):
        high = _dome_points(np.array([angle]), np.array([0.45]), width, depth, height)[0]
        ropes += _guy(
            high, np.array([1.25 * width * 0.62 * np.cos(angle), 1.25 * depth * 0.62 * np.sin(angle), 0.0])
        )
    return cloth, poles, ropes


def _dome_points(turn: Floats, rise: Floats, width: float, depth: float, height: float) -> Floats:
    """The dome at azimuths and shares of its arch, 0 on the ground; hollow between its four pole legs."""
    out = np.cos(np.pi / 2 * rise) ** 0.86
    pull = 1.0 - 0.06 * (1.0 - np.abs(np.sin(2.0 * turn))) * np.sin(np.pi * rise)
    square = 1.0 + 0.10 * np.abs(np.sin(2.0 * turn)) * (1.0 - rise)
    return np.stack(
        [
            width / 2 * out * pull * square * np.cos(turn),
            depth / 2 * out * pull * square * np.sin(turn),
            height * np.sin(np.pi / 2 * rise) ** 1.05,
        ],
        axis=-1,
    )


def _dome_sheet(turn: Floats, rise: Floats, width: float, depth: float, height: float) -> Part:
    points = _dome_points(turn, rise, width, depth, height)
    sheet = grid_sheet(points, np.zeros_like(points))
    return smooth("", "", sheet.vertices, sheet.faces)


def _bell(width: float, depth: float, height: float, door: float) -> Pieces:
    wall = 0.24 * height
    turn, down = np.meshgrid(np.linspace(0, 2 * np.pi, 121), np.linspace(0, 1, 34), indexing="ij")
    share = np.clip(down / 0.78, 0.0, 1.0)
    # Hollow between the ropes that pull at its eaves.
    scallop = 1.0 - 0.022 * (1.0 - np.abs(np.cos(6.0 * turn))) * share
    reach = np.where(down < 0.78, 0.03 + 0.97 * share, 0.995) * scallop
    z = np.where(
        down < 0.78,
        height - (height - wall) * (share - 0.055 * np.sin(np.pi * share) * -1.0),
        wall * (1.0 - (down - 0.78) / 0.22),
    )
    points = np.stack(
        [width / 2 * reach * np.cos(turn), depth / 2 * reach * np.sin(turn), np.maximum(z, 0.0)], axis=-1
    )
    raw = grid_sheet(points, np.zeros_like(points))
    sheet = reversed_sheet(smooth("", "", raw.vertices, raw.faces))
    cloth = []
    if door > 0.0:
        x, y, z0 = sheet.vertices.T
        half = 0.20 * width * door
        top = 0.72 * height
        inside = half * np.clip(1.0 - z0 / top, 0.0, 1.0) + 0.06 * door * (z0 < top) - np.abs(x)
        _, sheet = cut(sheet, np.where(y > 0.0, np.minimum(inside, top - z0), -1.0) + 1e-5)
        for side in (-1.0, 1.0):
            level = np.linspace(0.02, 0.9 * top, 9)
            slope = np.where(level < wall, 1.0, (height - level) / (height - wall))
            roll = np.stack(
                [side * (half * (1 - level / top) + 0.06 * door), depth / 2 * slope * 0.985 + 0.02, level],
                axis=1,
            )
            cloth.append(round_bar("", "", roll, 0.05 * (1 - 0.6 * level / top), sides=10))
    cloth.append(sheet)
    poles = [round_bar("", "", [[0, 0, -0.05], [0, 0, height + 0.08]], [0.024, 0.02], sides=12)]
    ropes = []
    for angle in 2 * np.pi * (np.arange(12) + 0.5) / 12 - np.pi / 2:
        eave = np.array([width / 2 * np.cos(angle), depth / 2 * np.sin(angle), wall])
        ropes += _guy(eave, np.array([eave[0] * 1.45, eave[1] * 1.45, 0.0]))
    return cloth, poles, ropes
