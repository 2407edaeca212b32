"""Directions: what key, fill, back, cheeks and fall-off are made of the readings of receptors."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import degrees, log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import Bearing, bearing
from preview.camera.exposure import footcandles
from preview.camera.view import View
from preview.commands.metering.held import CHEEK
from preview.commands.prepare import Ready
from preview.light.light import Light
from preview.sheets.meter_report import Back, Cheeks, Falloff, KeyAndFill, Ratio
from preview.trace.digest import digest, program_digest
from preview.trace.keys import light_digest, set_digest
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

GATHERED: Final = 0.2
"""Share of its direct light that a source's light vector must keep for it to come from anywhere."""
EVEN: Final = 0.05
"""Stops within which two cheeks are even."""
HELD_OUT: Final = np.array([0.0, 0.35, 0.7])
"""Metres towards a fixture that the receptor is held for its fall-off: clear of whoever stands there, and of a post."""
FALLOFF_RAYS: Final = 256


def ratio(more: float, less: float) -> Ratio | None:
    """How much more; None where one of them has no light."""
    if more <= 0.0 or less <= 0.0:
        return None
    return Ratio(log2(more / less), more / less)


def way_of(place: Floats, flow: Floats, direct: float, view: View) -> Bearing | None:
    """Where light of a light vector (3,) comes from at a place; None where too little of it comes from anywhere."""
    strength = float(np.linalg.norm(flow))
    if strength <= 0.0 or strength < GATHERED * direct:
        return None
    return bearing(flow, place, view)


def key_and_fill(names: Iterable[str], direct: Floats, total: Floats) -> KeyAndFill | None:
    """Of one flat receptor's readings (lights,): the key is what gives most; None without light."""
    if not len(total) or total.max() <= 0.0:
        return None
    key = int(np.argmax(total))
    whole = float(total.sum())
    fill = max(0.0, whole - float(direct[key]))
    return KeyAndFill(list(names)[key], float(total[key]), fill, footcandles(fill), ratio(whole, fill))


def back_of(names: Iterable[str], back: Floats, front: float) -> Back:
    """Of the readings (lights,) of the receptor that is turned away from the lens, and the mark's own."""
    whole = float(back.sum())
    most = list(names)[int(np.argmax(back))] if whole > 0.0 else None
    return Back(whole, footcandles(whole), ratio(whole, front), most)


def cheeks_of(left: float, right: float, left_is: str) -> Cheeks:
    """Of the readings at the cheeks, camera left and right."""
    more, less = max(left, right), min(left, right)
    between = ratio(more, less)
    even = more == less or (between is not None and between.stops < EVEN)
    brighter = "even" if even else "left" if left > right else "right"
    return Cheeks(
        degrees(CHEEK), left, footcandles(left), right, footcandles(right), left_is, brighter, between
    )


@dataclass(frozen=True)
class Stand:
    """Somebody or something that light reaches: its name and its place (3,) m."""

    name: str
    place: Floats


def falloffs(ready: Ready, stands: tuple[Stand, ...], *, store: AnyStore) -> tuple[Falloff, ...]:
    """How each fixture that stands somewhere falls off between the nearest and the farthest of `stands`.

    The receptor is held towards the fixture, so that nobody stands in their own light.
    """
    answer = []
    if len(stands) < 2:
        return ()
    for light, fixture in zip(ready.lights, ready.scene.fixtures, strict=True):
        practical = fixture.practical
        at = fixture.at or (practical.at if practical else None)
        if at is None or (practical and practical.kind == "string"):
            # A string has no one lamp to count from.
            continue
        source = ready.scene.point(at)
        by_distance = sorted(
            (max(float(np.linalg.norm(stand.place - source)), 1e-3), number)
            for number, stand in enumerate(stands)
        )
        (near_m, near), (far_m, far) = by_distance[0], by_distance[-1]
        places = stands[near].place, stands[far].place
        near_lux, far_lux = _unhindered(ready, light, places, source, store)
        between = ratio(near_lux, far_lux)
        answer.append(
            Falloff(
                fixture.name,
                stands[near].name,
                near_m,
                near_lux,
                stands[far].name,
                far_m,
                far_lux,
                None if between is None else between.stops,
                2.0 * log2(far_m / near_m),
            )
        )
    return tuple(answer)


def _unhindered(
    ready: Ready, light: Light, places: tuple[Floats, ...], source: Floats, store: AnyStore
) -> list[float]:
    """Lux at places (3,) on receptors turned to a source, each of the best of a few steps towards it, none half way.

    From each the rest is by the inverse square.
    """
    held_out, facing, left = [], [], []
    for place in places:
        away = max(float(np.linalg.norm(source - place)), 1e-6)
        way = (source - place) / away
        steps = np.minimum(HELD_OUT, 0.5 * away)
        held_out.append(place + steps[:, None] * way)
        facing.append(np.repeat([way], len(steps), axis=0))
        left.append((1.0 - steps / away) ** 2)
    position = np.concatenate(held_out)
    key = digest(program_digest(), set_digest(ready.stage), ready.haze, light_digest(light), position)
    known = store.load(key)
    if known is None:
        from preview.trace.receptors import read

        found = read(
            position,
            np.concatenate(facing),
            ready.stage.solid,
            [light],
            rays=FALLOFF_RAYS,
            bounce_rays=0,
            haze=ready.haze,
        )
        known = {"direct": found.direct[0]}
        store.put(key, known, kind="readings", label=f"{ready.label}: {light.name}, fall-off")
    lux = light.gain * np.asarray(known["direct"]).reshape(len(places), -1) * np.array(left)
    best: list[float] = lux.max(axis=1).tolist()
    return best
