"""Vehicle: a car, van or pick-up from its pressed panels, with wheels, lamps, a cabin to look into, doors that open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.build.chance import noise, smoothly
from preview.build.mesh import Floats, Part, stood
from preview.build.site import Site
from preview.build.things.blocks import joined_as, leaning, moved, spun
from preview.build.things.bodies import BODIES
from preview.build.things.cabin import cabin_parts
from preview.build.things.sheets import merged, mirrored, reversed_sheet, rim, sunk
from preview.build.things.wheels import car_wheel
from preview.script.models.pieces.vehicles import Vehicle
from preview.script.vehicle_plan import SIZES, kind_of, scale_of
from preview.trade.catalogue import material

AnyFloats = NDArray[np.floating[Any]]

ASSET = Path(__file__).with_name("vehicles.npz")
FINE, TURN = 1e-4, 1.0 / 4095
"""What one step of a stored place (m) and of a stored normal stand for."""
THICK = 0.018
HINGE = {"saloon": (0.86, 0.95), "estate": (0.86, 0.97), "van": (0.93, 1.10), "pick-up": (0.90, 1.20)}
"""x and y of the line that a front door swings about; it lies in the gap before it."""
WHEELS = {
    "saloon": (0.318, 0.205, (-1.33, 1.36), 5),
    "estate": (0.318, 0.205, (-1.33, 1.38), 7),
    "van": (0.335, 0.215, (-1.45, 1.55), 9),
    "pick-up": (0.375, 0.245, (-1.42, 1.68), 6),
}
"""Radius, width, the axles' y, spokes. Typical, from memory."""
MATERIALS = {
    "glass": "window glass",
    "seal": "rubber",
    "trim": "rubber",
    "chrome": "chrome",
    "lining": "dark cloth",
    "bowl": "chrome",
    "red": "red paint",
}
INDOORS = ("cabin", "glass")
"""Parts that rain does not reach, or runs off."""
CLEAN = ("window glass", "dark cloth", "red paint", "chrome")
DUST = np.array([0.150, 0.118, 0.085])
"""Road dirt, linear ACEScg. From memory, typical."""


@cache
def pressed_sheets(kind: str) -> Mapping[str, Part]:
    """The stored half at x >= 0 by name: `panel:material:how`."""
    with np.load(ASSET) as archive:
        names = sorted({key.rpartition("/")[0] for key in archive.files if key.startswith(f"{kind}/")})
        return {
            name.partition("/")[2]: _sheet(
                _summed(archive[f"{name}/vertices"]) * FINE,
                _summed(archive[f"{name}/faces"]),
                _summed(archive[f"{name}/normals"]) * TURN,
            )
            for name in names
        }


def _sheet(vertices: AnyFloats, faces: NDArray[np.int64], normals: AnyFloats) -> Part:
    """A sheet without the faces that rounding has left no area."""
    corners = vertices[faces]
    twice = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    return Part(
        "",
        "",
        np.asarray(vertices, float),
        np.ascontiguousarray(faces[twice > 1e-9]).astype(np.int32),
        _unit(normals),
    )


def _summed(differences: NDArray[np.integer]) -> NDArray[np.int64]:
    # Places wrap round in their own type, as their differences did.
    return np.cumsum(differences.astype(np.int64), axis=1).astype(differences.dtype).astype(np.int64).T


def _unit(normals: AnyFloats) -> Floats:
    return np.asarray(normals / np.linalg.norm(normals, axis=1, keepdims=True))


@cache
def half_parts(kind: str) -> Mapping[tuple[str, str], Part]:
    """The half at x >= 0 made whole in depth, by panel and material."""
    found: dict[tuple[str, str], list[Part]] = {}

    def add(panel: str, what: str, *parts: Part) -> None:
        found.setdefault((panel, what), []).extend(parts)

    for name, sheet in pressed_sheets(kind).items():
        panel, what, how = name.split(":")
        if how == "panel":
            add(panel, what, sheet, rim(sheet, THICK))
            add(panel, "lining" if what == "paint" else what, reversed_sheet(sunk(sheet, THICK)))
        elif how == "pane":
            add(panel, what, sheet)
        elif how == "strip":
            add(panel, what, sunk(sheet, THICK + 0.0015), reversed_sheet(sunk(sheet, THICK + 0.004)))
        elif how == "hole":
            add(panel, what, reversed_sheet(rim(sheet, 0.032)))
        else:
            deep = float(how.split()[1]) / 1000.0
            walls = rim(sunk(sheet, 0.003), deep)
            add(panel, "glass", sheet)
            add(panel, what, reversed_sheet(walls), sunk(sheet, deep))
            outside = replace(walls, vertices=walls.vertices + 0.002 * walls.normals)
            add("body", "seal", outside, reversed_sheet(sunk(sheet, deep + 0.004)))
    return {key: merged(parts) for key, parts in found.items()}


def build_vehicle(name: str, model: Vehicle, site: Site) -> list[Part]:
    """Its parts: `NAME.body`, `.door.left`, `.door.right`, `.wheels`, `.glass`, `.cabin` and others, by material."""
    scale, azimuth = scale_of(model), site.azimuth(model.facing, model.at)
    swings = model.doors.left, model.doors.right
    return [
        replace(
            stood(part, azimuth=azimuth, at=model.at, scale=scale),
            name=f"{name}.{part.name}",
            wet=0.0 if part.name in INDOORS else model.wet,
        )
        for part in _whole(kind_of(model), model.paint, model.dirt, swings, model.steer, model.driver)
    ]


@lru_cache(maxsize=8)
def _whole(
    kind: str, paint: str, dirty: float, doors: tuple[float, float], steer: float, driver: str
) -> tuple[Part, ...]:
    """A vehicle's parts in its own frame, as long as usual."""
    heap: dict[tuple[str, str], list[Part]] = {}
    swings = dict(zip(("left", "right"), doors, strict=True))
    for (panel, what), half in half_parts(kind).items():
        made_of = paint if what == "paint" else MATERIALS[what]
        if panel == "door.front":
            for side, sheet in (("right", half), ("left", mirrored(half))):
                heap.setdefault((f"door.{side}", made_of), []).append(_swung(kind, sheet, side, swings[side]))
            continue
        part = {"head": "head", "tail": "tail"}.get(panel, "body")
        part = "glass" if what == "glass" else part
        heap.setdefault((part, made_of), []).extend([half, mirrored(half)])
    for what, wheels in _wheels(kind, steer).items():
        made_of = {"tyre": "rubber", "rim": "silver car paint", "hub": "black"}[what]
        heap.setdefault(("wheels", made_of), []).append(wheels)
    _lamps(kind, heap)
    for key, parts in cabin_parts(kind, driver=driver, paint=paint).items():
        heap.setdefault(key, []).extend(_swung_mirror(kind, key, parts, swings))
    return tuple(
        replace(
            local := joined_as(part, made_of, parts),
            tint=dirt(local, dirty) if dirty and made_of not in CLEAN and part != "cabin" else None,
        )
        for (part, made_of), parts in heap.items()
    )


def dirt(part: Part, amount: float) -> NDArray[np.float32]:
    """Tints (n, 3) of a part in its own frame: the lower, the more of its surface is road dirt."""
    x, y, z = part.vertices.T
    patches = noise(y + 0.3 * z, z + 0.5 * x, 0.35, seed=3) + 0.5 * noise(y, z + x, 0.08, seed=5)
    low = smoothly((0.62 - z + 0.35 * patches) / 0.55)
    share = np.clip(amount * (0.10 + 1.5 * low + 0.12 * patches), 0.0, 0.85)[:, None]
    clean = np.maximum(np.array(material(part.material).rgb), 0.004)
    return np.asarray(1.0 + share * (DUST / clean - 1.0), np.float32)


def _swung(kind: str, sheet: Part, side: str, angle: float) -> Part:
    """A front door turned about its hinge, outwards."""
    if not angle:
        return sheet
    x, y = HINGE[kind]
    way = 1.0 if side == "right" else -1.0
    return leaning(sheet, way * angle, (way * x, y, 0.0), axis=2)


def _swung_mirror(
    kind: str, key: tuple[str, str], parts: list[Part], swings: Mapping[str, float]
) -> list[Part]:
    """What hangs on a door goes with it."""
    side = key[0].removeprefix("door.")
    return [_swung(kind, part, side, swings[side]) for part in parts] if side in swings else parts


def _wheels(kind: str, steer: float) -> Mapping[str, Part]:
    radius, width, axles, spokes = WHEELS[kind]
    out = SIZES[kind].width / 2.0 - width / 2.0 - 0.035
    found: dict[str, list[Part]] = {}
    for what, part in car_wheel(radius, width, spokes=spokes).items():
        for number, axle in enumerate(axles):
            for side in (1.0, -1.0):
                one = part if side > 0 else mirrored(part)
                if number == 1:
                    one = leaning(one, -steer, (0.0, 0.0, 0.0), axis=2)
                found.setdefault(what, []).append(moved(one, np.eye(3), (side * out, axle, radius)))
    return {what: merged(parts) for what, parts in found.items()}


def _lamps(kind: str, heap: dict[tuple[str, str], list[Part]]) -> None:
    """A reflector round each headlamp's place; wheel houses behind the wheels."""
    lamp = SIZES[kind].lamps["head"]
    radius = 0.5 * lamp.size[0] + 0.004
    x, y, z = lamp.at
    cup = [
        (radius + 0.004, 0.004), (radius, 0.004), (0.8 * radius, -0.012), (0.45 * radius, -0.030), (0.0, -0.036),
        (0.0, -0.040), (0.5 * radius, -0.034), (radius + 0.004, -0.002), (radius + 0.004, 0.004),
    ]  # fmt: skip
    for side in (1.0, -1.0):
        shell = spun(np.array(cup), (side * x, y - 0.004, z), (0.0, 1.0, 0.0), sides=32)
        heap.setdefault(("head", "chrome"), []).append(shell)
    tyre, _, axles, _ = WHEELS[kind]
    turn = np.radians(np.linspace(-28.0, 208.0, 30))
    for axle in axles:
        house = _wheel_house(kind, axle, tyre, turn)
        heap.setdefault(("body", "rubber"), []).extend([house, mirrored(house)])


def _wheel_house(kind: str, axle: float, height: float, turn: Floats) -> Part:
    """The shell over a wheel, closed towards the middle; of two skins, so that both sides may be seen."""
    skins = []
    for radius, start, inwards in ((height + 0.046, 0.48, True), (height + 0.052, 0.474, False)):
        arc = np.stack([axle + radius * np.cos(turn), height + radius * np.sin(turn)], axis=1)
        outer = BODIES[kind].half_width(arc[:, 0], np.maximum(arc[:, 1], 0.25)) - 0.024
        near = np.column_stack([np.full(len(arc), start), arc])
        far = np.column_stack([outer, arc])
        points = np.concatenate([near, far])
        a = np.arange(len(arc) - 1)
        faces = np.concatenate(
            [np.stack([a, a + 1 + len(arc), a + 1], 1), np.stack([a, a + len(arc), a + 1 + len(arc)], 1)]
        )
        radial = np.column_stack([np.zeros(len(arc)), -np.cos(turn), -np.sin(turn)])
        shell = Part("", "", points, faces.astype(np.int32), np.tile(radial, (2, 1)))
        centre = np.array([[start, axle, height]])
        fan = np.concatenate([centre, near])
        b = np.arange(1, len(arc))
        disc = Part(
            "",
            "",
            fan,
            np.stack([np.zeros_like(b), b, b + 1], 1).astype(np.int32),
            np.tile([1.0, 0.0, 0.0], (len(fan), 1)),
        )
        skins += [shell, disc] if inwards else [reversed_sheet(shell), reversed_sheet(disc)]
    return merged(skins)
