"""Directions: where receptors are held about a mark, and what key, fill, back and cheeks are made of their readings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import cos, degrees, log2, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import Bearing, away_from_lens, bearing
from preview.camera.exposure import footcandles
from preview.camera.view import View
from preview.commands.prepare import Ready
from preview.commands.readings import HELD_OFF, Receptor
from preview.light.light import Light
from preview.script import figure_plan
from preview.script.models.cast import Figure
from preview.sheets.meter_report import Back, Cheeks, Falloff, KeyAndFill, Ratio
from preview.trace.digest import digest, program_digest
from preview.trace.keys import light_digest, set_digest
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

CHEEK: Final = radians(45.0)
"""How far either way a receptor is turned off the way a face looks. Common practice, no source."""
GATHERED: Final = 0.2
"""Share of its direct light that a source's light vector must keep for it to come from anywhere."""
EVEN: Final = 0.05
"""Stops within which two cheeks are even."""
HELD_OUT: Final = np.array([0.0, 0.35, 0.7])
"""Metres towards a fixture that the receptor is held for its fall-off: clear of whoever stands there, and of a post."""
FALLOFF_RAYS: Final = 256


@dataclass(frozen=True)
class Held:
    """The receptors of one mark: flat and dome as it faces, one turned away from the lens, and for a face one at each
    cheek, camera left first; `figure` whose face it is."""

    name: str
    flat: Receptor
    dome: Receptor
    back: Receptor
    cheeks: tuple[Receptor, ...] = ()
    figure: Figure | None = None
    left_is_own: str = ""

    @property
    def receptors(self) -> tuple[Receptor, ...]:
        return self.flat, self.dome, self.back, *self.cheeks


def held(ready: Ready, mark: Receptor, figure: Figure | None) -> Held:
    """What is held at a mark; `figure`: whose face it is, None for another place."""
    back = away_from_lens(mark.position, ready.view)
    if figure is None:
        return Held(mark.name, mark, replace(mark, dome=True), replace(mark, facing=back))
    middle = _middle(mark, figure)
    reach = figure_plan.face_forward(figure) + HELD_OFF
    behind = away_from_lens(middle, ready.view)
    cheeks = []
    for own, turn in (("left", -CHEEK), ("right", CHEEK)):
        way = _turned(mark.facing, turn)
        cheeks.append((own, Receptor(mark.name, middle + reach * way, way, mark.on)))
    # Camera left is where the frame's left is; of somebody seen from behind that is their own left.
    cheeks.sort(key=lambda one: float(one[1].position @ ready.view.right))
    return Held(
        mark.name,
        mark,
        replace(mark, dome=True),
        Receptor(mark.name, middle + reach * behind, behind, mark.on),
        tuple(receptor for _, receptor in cheeks),
        figure,
        cheeks[0][0],
    )


def _middle(mark: Receptor, figure: Figure) -> Floats:
    """The axis of the head at the height of a receptor before its face."""
    return np.array([figure.at[0], figure.at[1], mark.position[2]])


def _turned(facing: Floats, angle: float) -> Floats:
    """A direction turned about the upright axis, clockwise from above."""
    x, y, z = facing
    return np.array([x * cos(angle) + y * sin(angle), y * cos(angle) - x * sin(angle), z])


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
        at = fixture.at or (fixture.practical.at if fixture.practical else None)
        if at is None:
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
