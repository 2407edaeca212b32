"""Press: the panels, panes and lamps of each body, cut from its surface: `python -m preview.build.things.press`.

Writes preview/build/things/vehicles.npz, the half at x >= 0. Plan of a cut: polygons (y, z) seen from the side, or (x, z)
and (x, y) seen from the front and from above. Sheets are named `panel:what`: `body`, `door.front`, ... and paint, glass,
trim and so on. What is said here is of our own design; the usual sizes of lamps and gaps from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Floats, Part
from preview.build.things.bodies import BODIES, Body
from preview.build.things.curves import rounded_polygon
from preview.build.things.sheets import cut, merged, sunk

ASSET = Path(__file__).with_name("vehicles.npz")
FINE = 1e-4
"""Metres that one step of a stored number stands for."""
GAP = 0.0028
"""Half the gap between panels, metres: 5 to 6 mm in all."""
THICK = 0.018
ARCH = 0.042
"""How much larger a wheel arch is than its tyre, metres."""

Corners = Sequence[tuple[float, float]]
Depth = Callable[[Part], Floats]


@dataclass(frozen=True)
class Plan:
    """Where a body is cut. Corners are (y, z) from the side; of `screen`, `back` and lamps (x, z); of lids as they say."""

    body: Body
    doors: dict[str, Corners]
    windows: dict[str, tuple[Corners, ...]]
    """Of each door, and of the `body`."""
    screen: Corners
    back: tuple[Corners, ...]
    head: Corners
    tail: Corners
    grille: Corners
    intake: Corners
    bonnet: Corners
    """(x, y)."""
    boot: Corners
    """(x, z), behind; with what of it lies on top, by `boot_from`."""
    boot_from: float
    """y behind which the boot's lid begins on top."""
    trim: float
    """Height up to which bare plastic goes."""
    lamps_from: tuple[float, float]
    """How far round the corners lamps reach: y of the tail lamps' foremost edge, and of the headlamps' hindmost."""
    bed: Corners = field(default=())
    """(x, y) of a bed that is open above."""


def from_side(corners: Corners, radius: float) -> Depth:
    depth = rounded_polygon(corners, radius)
    return lambda s: np.where(s.normals[:, 0] > 0.25, depth(s.vertices[:, 1], s.vertices[:, 2]), -1.0)


def from_end(corners: Corners, radius: float, *, ahead: bool, beyond: float = 0.0) -> Depth:
    """Seen from the front or from behind; only what lies further that way than y = `beyond`."""
    depth, way = rounded_polygon(corners, radius), 1.0 if ahead else -1.0

    def inside(s: Part) -> Floats:
        seen = depth(s.vertices[:, 0], s.vertices[:, 2])
        return np.where(
            way * s.vertices[:, 1] > 0.25, np.minimum(seen, way * (s.vertices[:, 1] - beyond)), -1.0
        )

    return inside


def from_above(corners: Corners, radius: float) -> Depth:
    depth = rounded_polygon(corners, radius)
    return lambda s: np.where(s.normals[:, 2] > 0.1, depth(s.vertices[:, 0], s.vertices[:, 1]), -1.0)


def both_sides(corners: Corners) -> Corners:
    """A polygon given by its right half, from the middle and back to it, made whole."""
    return [*corners, *((-x, z) for x, z in reversed(corners) if x > 0.0)]


class Press:
    """Sheets by name as they are cut."""

    def __init__(self) -> None:
        self.sheets: dict[str, list[Part]] = {}

    def keep(self, name: str, sheet: Part) -> None:
        if len(sheet.faces):
            self.sheets.setdefault(name, []).append(sheet)

    def panel(self, owner: str, sheet: Part, material: str = "paint") -> None:
        """The outside of a closed panel; its edges and its inside are made when it is built."""
        self.keep(f"{owner}:{material}:panel", sheet)

    def pane(self, owner: str, sheet: Part, depth: Depth, *, border: float = 0.016) -> Part:
        """Cuts a pane with its seal out of a sheet and returns the rest."""
        inside, rest = cut(sheet, depth(sheet))
        if len(inside.faces) == 0:
            return rest
        glass, seal = cut(inside, depth(inside) - border)
        self.keep(f"{owner}:glass:pane", sunk(glass, 0.004))
        seal = sunk(seal, 0.0015)
        self.panel(owner, seal, "seal")
        return rest

    def lamp(self, owner: str, sheet: Part, depth: Depth, *, deep: float, back: str) -> Part:
        """Cuts out a lens with a bowl behind it and returns the rest."""
        inside, rest = cut(sheet, depth(sheet))
        lens, bezel = cut(inside, depth(inside) - 0.004)
        self.panel("body", bezel, "seal")
        self.keep(f"{owner}:{back}:bowl {1000 * deep:.0f}", lens)
        return rest

    def gap(self, sheet: Part, depth: Depth) -> tuple[Part, Part]:
        """Inside and outside of a gap; what closes it lies below both."""
        values = depth(sheet)
        inside, rest = cut(sheet, values - GAP)
        _, outside = cut(rest, depth(rest) + GAP)
        strip, _ = cut(sheet, depth(sheet) + 6.0 * GAP)
        _, strip = cut(strip, depth(strip) - 6.0 * GAP)
        self.keep("body:seal:strip", strip)
        return inside, outside


def pressed(plan: Plan) -> dict[str, Part]:
    """Every sheet of a body by its name."""
    press, body = Press(), plan.body
    rest = body.sheet()
    for axle in body.axles:
        away = np.hypot(rest.vertices[:, 1] - axle, rest.vertices[:, 2] - body.wheel) - (body.wheel + ARCH)
        rest, _ = cut(rest, np.maximum(away, 0.50 - rest.vertices[:, 0]))
    if plan.bed:
        _, rest = cut(rest, from_above(plan.bed, 0.05)(rest))
    for name, corners in plan.doors.items():
        shape = from_side(corners, 0.06)

        def door(s: Part, shape: Depth = shape) -> Floats:
            clear = np.min(
                [np.hypot(s.vertices[:, 1] - a, s.vertices[:, 2] - body.wheel) for a in body.axles], axis=0
            )
            return np.minimum(shape(s), clear - (body.wheel + ARCH + 0.035))

        inside, rest = press.gap(rest, door)
        for window in plan.windows.get(name, ()):
            inside = press.pane(f"door.{name}", inside, from_side(window, 0.045))
        press.panel(f"door.{name}", inside)
    for window in plan.windows.get("body", ()):
        rest = press.pane("body", rest, from_side(window, 0.045))
    rest = press.pane("body", rest, from_end(both_sides(plan.screen), 0.07, ahead=True), border=0.03)
    for window in plan.back:
        rest = press.pane("body", rest, from_end(window, 0.06, ahead=False), border=0.025)
    rest = press.lamp(
        "head",
        rest,
        from_end(plan.head, 0.035, ahead=True, beyond=plan.lamps_from[1]),
        deep=0.075,
        back="bowl",
    )
    rest = press.lamp(
        "tail",
        rest,
        from_end(plan.tail, 0.03, ahead=False, beyond=plan.lamps_from[0]),
        deep=0.045,
        back="red",
    )
    for opening in (plan.grille, plan.intake):
        depth = from_end(both_sides(opening), 0.03, ahead=True)
        inside, rest = cut(rest, depth(rest))
        frame, bars = cut(inside, 0.012 - depth(inside))
        press.panel("body", frame, "chrome" if opening is plan.grille else "seal")
        slat, hollow = cut(bars, np.cos(bars.vertices[:, 2] * (2.0 * np.pi / 0.034)) - 0.35)
        press.panel("body", sunk(slat, 0.008), "seal")
        press.panel("body", sunk(hollow, 0.03), "seal")
        press.keep("body:seal:hole", bars)
    bonnet = from_above(both_sides(plan.bonnet), 0.06)
    inside, rest = press.gap(rest, lambda s: np.where(s.vertices[:, 1] > 0.4, bonnet(s), -1.0))
    press.panel("bonnet", inside)
    lid = rounded_polygon(both_sides(plan.boot), 0.05)

    def boot(s: Part) -> Floats:
        return np.where(
            s.vertices[:, 1] < plan.boot_from + 0.4,
            np.minimum(lid(s.vertices[:, 0], s.vertices[:, 2]), plan.boot_from - s.vertices[:, 1]),
            -1.0,
        )

    inside, rest = press.gap(rest, boot)
    press.panel("boot", inside)
    trim, rest = cut(rest, plan.trim - rest.vertices[:, 2])
    press.panel("body", trim, "trim")
    press.panel("body", rest)
    return {name: merged(sheets) for name, sheets in press.sheets.items()}


PLANS = {
    "saloon": Plan(
        BODIES["saloon"],
        doors={
            "front": ((0.93, 0.27), (0.96, 0.70), (1.04, 0.95), (0.42, 1.335), (0.20, 1.368), (-0.185, 1.372),
            (-0.21, 0.95), (-0.21, 0.27)),
            "rear": ((-0.215, 0.27), (-0.215, 0.95), (-0.19, 1.372), (-0.60, 1.362), (-0.90, 1.30), (-1.20, 1.05),
            (-1.22, 0.92), (-1.10, 0.70), (-0.90, 0.27)),
        },
        windows={
            "front": (((0.97, 0.955), (0.40, 1.305), (0.22, 1.340), (-0.135, 1.345), (-0.165, 0.955)),),
            "rear": (((-0.265, 0.955), (-0.245, 1.345), (-0.58, 1.335), (-0.87, 1.275), (-1.13, 1.05), (-1.14, 0.955)),),
        },
        screen=((0.0, 0.955), (0.70, 0.955), (0.555, 1.352), (0.0, 1.392)),
        back=(((-0.58, 1.05), (0.58, 1.05), (0.50, 1.335), (-0.50, 1.335)),),
        head=((0.47, 0.645), (0.485, 0.705), (0.80, 0.765), (0.86, 0.755), (0.86, 0.65), (0.60, 0.625)),
        tail=((0.44, 0.80), (0.44, 0.90), (0.86, 0.93), (0.86, 0.76), (0.62, 0.765)),
        grille=((0.0, 0.565), (0.36, 0.575), (0.42, 0.66), (0.40, 0.685), (0.0, 0.685)),
        intake=((0.0, 0.275), (0.52, 0.285), (0.58, 0.36), (0.42, 0.40), (0.0, 0.40)),
        bonnet=((0.0, 1.165), (0.66, 1.09), (0.72, 1.3), (0.71, 1.75), (0.62, 2.02), (0.40, 2.085), (0.0, 2.115)),
        boot=((0.0, 0.70), (0.52, 0.70), (0.60, 0.80), (0.60, 1.2), (0.0, 1.2)),
        boot_from=-1.80,
        trim=0.255,
        lamps_from=(-1.99, 1.8),
    ),
    "estate": Plan(
        BODIES["estate"],
        doors={
            "front": ((0.95, 0.27), (0.98, 0.70), (1.06, 0.95), (0.44, 1.348), (0.22, 1.388), (-0.185, 1.398),
            (-0.21, 0.95), (-0.21, 0.27)),
            "rear": ((-0.215, 0.27), (-0.215, 0.95), (-0.19, 1.398), (-1.05, 1.392), (-1.16, 0.92), (-1.10, 0.70),
            (-0.90, 0.27)),
        },
        windows={
            "front": (((0.99, 0.955), (0.42, 1.318), (0.24, 1.358), (-0.135, 1.366), (-0.165, 0.955)),),
            "rear": (((-0.265, 0.955), (-0.245, 1.366), (-1.00, 1.36), (-1.09, 0.955)),),
            "body": (((-1.20, 0.965), (-1.13, 1.352), (-1.66, 1.32), (-1.86, 0.975)),),
        },
        screen=((0.0, 0.955), (0.70, 0.955), (0.565, 1.372), (0.0, 1.412)),
        back=(((-0.60, 0.99), (0.60, 0.99), (0.53, 1.355), (-0.53, 1.355)),),
        head=((0.47, 0.645), (0.485, 0.705), (0.80, 0.765), (0.86, 0.755), (0.86, 0.65), (0.60, 0.625)),
        tail=((0.68, 0.72), (0.68, 1.02), (0.88, 1.04), (0.90, 0.70)),
        grille=((0.0, 0.565), (0.36, 0.575), (0.42, 0.66), (0.40, 0.685), (0.0, 0.685)),
        intake=((0.0, 0.275), (0.52, 0.285), (0.58, 0.36), (0.42, 0.40), (0.0, 0.40)),
        bonnet=((0.0, 1.185), (0.66, 1.11), (0.72, 1.32), (0.71, 1.77), (0.62, 2.04), (0.40, 2.105), (0.0, 2.135)),
        boot=((0.0, 0.46), (0.58, 0.47), (0.64, 0.60), (0.645, 0.95), (0.60, 1.38), (0.0, 1.40)),
        boot_from=-1.86,
        trim=0.255,
        lamps_from=(-1.96, 1.82),
    ),
    "van": Plan(
        BODIES["van"],
        doors={
            "front": ((1.08, 0.34), (1.14, 0.80), (1.62, 1.02), (1.62, 1.10), (0.98, 1.74), (0.80, 1.79), (0.27,
            1.80), (0.25, 1.0), (0.25, 0.34)),
            "slide": ((0.235, 0.34), (0.235, 1.0), (0.255, 1.80), (-0.84, 1.80), (-0.86, 0.34)),
        },
        windows={"front": (((1.52, 1.09), (0.95, 1.665), (0.79, 1.72), (0.33, 1.73), (0.31, 1.09)),)},
        screen=((0.0, 1.06), (0.78, 1.06), (0.72, 1.735), (0.0, 1.765)),
        back=(((0.06, 1.12), (0.66, 1.12), (0.61, 1.68), (0.06, 1.68)),),
        head=((0.56, 0.72), (0.55, 0.80), (0.72, 0.95), (0.86, 1.0), (0.90, 0.74), (0.75, 0.69)),
        tail=((0.80, 0.80), (0.80, 1.22), (0.93, 1.22), (0.93, 0.80)),
        grille=((0.0, 0.66), (0.42, 0.67), (0.48, 0.76), (0.46, 0.80), (0.0, 0.80)),
        intake=((0.0, 0.34), (0.56, 0.35), (0.60, 0.44), (0.48, 0.48), (0.0, 0.48)),
        bonnet=((0.0, 1.90), (0.72, 1.80), (0.74, 2.05), (0.60, 2.28), (0.0, 2.34)),
        boot=((0.0, 0.52), (0.74, 0.52), (0.765, 0.80), (0.765, 1.25), (0.70, 1.76), (0.0, 1.76)),
        boot_from=-2.30,
        trim=0.50,
        lamps_from=(-2.20, 1.98),
    ),
    "pick-up": Plan(
        BODIES["pick-up"],
        doors={
            "front": ((1.20, 0.42), (1.20, 0.80), (1.16, 1.13), (0.68, 1.60), (0.50, 1.655), (-0.28, 1.66), (-0.33,
            1.1), (-0.33, 0.42)),
        },
        windows={
            "front": (((1.08, 1.15), (0.65, 1.56), (0.49, 1.61), (-0.22, 1.615), (-0.26, 1.15)),),
            "body": (((-0.40, 1.16), (-0.36, 1.59), (-0.55, 1.565), (-0.61, 1.16)),),
        },
        screen=((0.0, 1.15), (0.73, 1.15), (0.60, 1.625), (0.0, 1.66)),
        back=(((-0.60, 1.20), (0.60, 1.20), (0.55, 1.58), (-0.55, 1.58)),),
        head=((0.56, 0.80), (0.56, 0.95), (0.90, 0.97), (0.92, 0.80)),
        tail=((0.765, 0.72), (0.765, 1.02), (0.95, 1.02), (0.95, 0.72)),
        grille=((0.0, 0.70), (0.50, 0.70), (0.52, 0.93), (0.0, 0.94)),
        intake=((0.0, 0.42), (0.56, 0.43), (0.60, 0.50), (0.48, 0.55), (0.0, 0.55)),
        bonnet=((0.0, 1.24), (0.66, 1.19), (0.74, 1.4), (0.74, 2.0), (0.70, 2.36), (0.0, 2.44)),
        boot=((0.0, 0.62), (0.70, 0.62), (0.745, 0.70), (0.745, 1.2), (0.0, 1.2)),
        boot_from=-2.50,
        trim=0.38,
        lamps_from=(-2.28, 2.28),
        bed=((-0.72, -0.92), (0.72, -0.92), (0.72, -2.50), (-0.72, -2.50)),
    ),
}  # fmt: skip


def main() -> None:
    stored = {}
    for kind, plan in PLANS.items():
        for name, sheet in pressed(plan).items():
            key = f"{kind}/{name}"
            # Differences between neighbours are small numbers, which pack well.
            stored[f"{key}/vertices"] = _differences(np.round(sheet.vertices / FINE)).astype(np.int16)
            stored[f"{key}/normals"] = _differences(np.round(sheet.normals * 4095)).astype(np.int16)
            stored[f"{key}/faces"] = _differences(sheet.faces).astype(np.int32)
    np.savez_compressed(ASSET, **stored)  # type: ignore[arg-type]
    print(f"{ASSET.name}: {ASSET.stat().st_size / 1e6:.2f} MB")


def _differences(rows: Floats | NDArray[np.int32]) -> Floats:
    return np.diff(rows.T, axis=1, prepend=0)


if __name__ == "__main__":
    main()
