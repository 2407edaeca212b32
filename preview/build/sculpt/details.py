"""Details: the collars, lapels, plackets, pockets, belts and buttons of each garment."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from preview.build.mesh import Floats
from preview.build.sculpt.shapes import step
from preview.build.sculpt.sheets import Cloth
from preview.build.sculpt.tailor import HEM, NECK, Detail, Tailor
from preview.script.people import PersonName


def fold_over(
    stand: float, fall: float, flare: float, *, front: float, points: float, thick: float = 4.0
) -> Callable[[Floats], Floats]:
    """The section of a collar that stands up and folds down; `front` of its stand is left in front, where its fall is
    longer by `points`."""

    def section(turn: Floats) -> Floats:
        back = step(0.35, 1.9, turn)
        up = stand * (front + (1 - front) * back)
        down = up - fall * (1.05 - 0.12 * back + points * step(0.75, 0.1, turn))
        out = flare * (1.25 - 0.25 * back)
        corners = [
            (0 * up - 2.0, -44 + 0 * up), (0 * up + 1.0, up - 3), (0 * up + 3.0, up), (0 * up + 2 + 1.5 * thick, up - 1.5),
            (out + thick, down + 2), (out + thick - 2, down), (out, down + 2),
        ]  # fmt: skip
        rows = np.stack([np.stack(pair, axis=-1) for pair in corners], axis=1)
        return rows

    return section


def hood_down(tall: float) -> Callable[[Floats], Floats]:
    """A hood that lies on the shoulders behind: a fat roll that thins to the front."""

    def section(turn: Floats) -> Floats:
        back = step(0.5, 2.4, turn)
        fat = tall * (0.010 + 0.022 * back) * (1 + 0.07 * np.sin(5.3 * turn) * back)
        hang = tall * 0.034 * step(1.3, 3.0, turn) + 0.012 * tall * step(0.3, 1.2, turn)
        around = np.linspace(0, 2 * np.pi, 13)[:-1]
        out = fat[:, None] * (0.75 + np.cos(around)) * (1 + 0.5 * back[:, None])
        up = fat[:, None] * (0.45 + 0.95 * np.sin(around)) - hang[:, None] * (np.cos(around) + 1) * 0.5
        dent = 0.18 * fat[:, None] * np.exp(-(((around - 1.4) / 0.35) ** 2)) * back[:, None]
        return np.stack([out, up - dent], axis=-1)

    return section


def lapels(t: Tailor, *, low: float, wide: float) -> list[Detail]:
    tall = t.tall
    high = t.top + 0.012 * tall
    share = np.linspace(0, 1, 12)[:, None]
    across = np.linspace(0, 1, 6)[None, :]
    z = high + share * (low - high)
    inner = 0.030 * tall * (1 - share) ** 0.85 - 0.003 * tall
    out = wide * np.interp(share, (0, 0.16, 0.20, 0.23, 0.32, 1.0), (0.62, 0.86, 0.98, 0.78, 0.92, 0.16))
    result = []
    for sign in (1.0, -1.0):
        x = sign * (inner + across * out)
        lie = 1.0 if sign > 0 else 0.86
        height = (7.5 - 3.2 * across) * np.ones_like(z) * lie + 3.0 * np.exp(-((across / 0.16) ** 2))
        # The outer edge of a lapel dips with the shoulder.
        result.append(t.patch(x, z - 0.012 * tall * across * (1 - share), height))
    v = np.linspace(-1, 1, 7)[None, :]
    x = v * (inner + 0.012 * tall)
    result.append(t.patch(x, np.broadcast_to(z + 0.004 * tall, x.shape), 1.6 + 0 * x, part="shirt"))
    return result


def details(name: PersonName, garment: str, cloth: Cloth) -> list[Detail]:
    t = Tailor(name, garment)
    tall, hip, waist = t.tall, float(t.joints["pelvis"][2]), float(t.joints["waist"][2])
    buttoned = float(t.joints["chest"][2]) + 0.024 * tall
    pieces: list[Detail] = []
    big = 0.0062 * tall
    if garment in ("jacket", "coat"):
        low = buttoned if garment == "jacket" else buttoned + 0.03 * tall
        wide = (0.054 if garment == "jacket" else 0.064) * tall
        pieces += lapels(t, low=low, wide=wide)
        stand, fall = (0.020, 0.024) if garment == "jacket" else (0.026, 0.036)
        pieces.append(
            t.round_neck(
                fold_over(stand * tall, fall * tall, 0.011 * tall, front=0.35, points=0.4),
                room=0.008 * tall,
                opening=0.50,
            )
        )
        pieces.append(
            t.round_neck(
                fold_over(0.021 * tall, 0.017 * tall, 0.004 * tall, front=0.62, points=1.1, thick=2.2),
                room=0.002 * tall,
                opening=0.10,
                part="shirt",
            )
        )
        pieces.append(t.strip(-0.006 * tall, 0.020 * tall, low + 0.01 * tall, t.hem + 1, 4.0))
        number, gap = (3, 0.058) if garment == "jacket" else (4, 0.062)
        pieces += [
            t.button(0.007 * tall, low - (0.004 + gap * i) * tall, big, tint=0.45) for i in range(number)
        ]
        at = hip + 0.012 * tall if garment == "jacket" else waist - 0.055 * tall
        for sign in (-1.0, 1.0):
            x, z = np.meshgrid(np.linspace(0.042, 0.092, 6) * tall, np.linspace(0, -0.028, 4) * tall)
            pieces.append(
                t.patch(
                    sign * x,
                    at + z + 0.12 * (x - 0.042 * tall),
                    np.broadcast_to(np.array([[2.5], [4.5], [4.5], [3.5]]), x.shape),
                )
            )
        if garment == "coat":
            pieces.append(t.belt(waist + 0.022 * tall, 0.024 * tall, 5.0, tint=0.8))
    elif garment == "jumper":
        pieces.append(t.edging(cloth, NECK, 0.011 * tall, 4.5, tint=0.82))
        pieces.append(t.edging(cloth, HEM, 0.020 * tall, 3.0, tint=0.85))
    elif garment == "raincoat":
        pieces.append(t.round_neck(hood_down(tall), room=0.004 * tall, opening=0.16, part="hood"))
        pieces.append(t.edging(cloth, NECK, 0.012 * tall, 4.0, tint=0.9))
        pieces.append(t.strip(-0.016 * tall, 0.016 * tall, t.top - 0.012 * tall, t.hem + 1, 4.5))
        pieces += [t.button(0.0, t.top - (0.035 + 0.075 * i) * tall, 0.9 * big, tint=0.6) for i in range(5)]
        for sign in (-1.0, 1.0):
            x, z = np.meshgrid(np.linspace(0.040, 0.098, 6) * tall, np.linspace(0, -0.036, 4) * tall)
            pieces.append(t.patch(sign * x, hip + 0.010 * tall + z, 4.0 + 0 * x))
    elif garment == "dress":
        pieces.append(t.edging(cloth, NECK, 0.005 * tall, 2.5, tint=0.9))
        pieces.append(t.belt(waist + 0.035 * tall, 0.016 * tall, 3.5, tint=0.55))
    return pieces
