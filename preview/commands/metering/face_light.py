"""Face light: what the light does on each figure: key, fill, cheeks, the rim on hair and shoulders.

Everything is made of the readings of receptors held about a figure, one column a light, so that other levels are
arithmetic on what was read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.bearing import Bearing, away_from_lens
from preview.camera.exposure import incident_stops
from preview.commands.metering.directions import cheeks_of, key_and_fill, way_of
from preview.commands.metering.held import Held, head_axis, held_with, stance_of
from preview.commands.metering.readings import HELD_OFF, Levels, Receptor, levels, receptor_at
from preview.commands.prepare import Ready
from preview.light.colour_reading import ColourReading, read_colour
from preview.script.figure_plan import Stance
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure, Mark
from preview.script.people import CROWN_ABOVE_EYES
from preview.sheets.meter_report import Cheeks, KeyAndFill
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

SHOULDER: Final = 0.055
"""From the joint of a shoulder to the outside of what is worn, as a share of a figure's height. From memory: an arm's
radius at the shoulder is 3 per cent of stature, a coat adds 3 cm."""
HEAD: Final = 0.065
"""Half of a head's depth as a share of a figure's height. From memory of anthropometric tables."""
RAYS: Final = 256
BOUNCE_RAYS: Final = 512
BOUNCES: Final = 1


@dataclass(frozen=True)
class About:
    """The receptors held about a figure: those of its face, then behind its hair and above both shoulders, camera left
    first, each turned up and away from the lens, as an edge that catches a light from behind is."""

    figure: Figure
    face: Held
    hair: Receptor
    shoulders: tuple[Receptor, Receptor]

    @property
    def receptors(self) -> tuple[Receptor, ...]:
        """Flat, dome, back, cheeks left and right, hair, shoulders left and right: eight."""
        return *self.face.receptors, self.hair, *self.shoulders


@dataclass(frozen=True)
class FaceLight:
    """What is on one figure. Lux as the lights are set; stops of a flat receptor from what exposes grey, None for no light.

    `front`: a flat receptor that faces as the face does. `key`: the light that gives most there, and the rest. `hair`,
    `shoulders`: the edge turned from the lens, `rim_by` the light that gives most there. `way`: of the key, as the
    camera sees it. `key_colour`: of the key on the face, as it is, whatever the balance.
    """

    figure: str
    front_lux: float
    front_stops: float | None
    key: KeyAndFill | None
    key_stops: float | None
    fill_stops: float | None
    way: Bearing | None
    cheeks: Cheeks
    hair_lux: float
    hair_stops: float | None
    shoulders_lux: tuple[float, float]
    shoulders_stops: tuple[float | None, float | None]
    rim_by: str | None
    key_colour: ColourReading | None = None

    @property
    def rim_stops(self) -> float | None:
        """The brightest of the edges, in stops from grey."""
        known = [stops for stops in (self.hair_stops, *self.shoulders_stops) if stops is not None]
        return max(known) if known else None

    @property
    def rim_over_front(self) -> float | None:
        """Stops that the brightest edge has more than the front; None where one has no light."""
        most = max(self.hair_lux, *self.shoulders_lux)
        return log2(most / self.front_lux) if most > 0.0 and self.front_lux > 0.0 else None


def about(ready: Ready, figure: Figure, *, store: AnyStore) -> About:
    """Where receptors are held about a figure, for the camera of `ready`."""
    made = stance_of(ready.scene, figure)
    crown = head_axis(made, above=0.5 * CROWN_ABOVE_EYES)
    up = np.array([0.0, 0.0, 1.0])
    rim = (away_from_lens(crown, ready.view) + up) / np.sqrt(2.0)
    of = f"{figure.name}.face"
    hair = Receptor(f"{figure.name}.hair", crown + (HEAD * figure.height + HELD_OFF) * rim, rim, None)
    # Above the shoulders, clear of the neck, whichever way they are turned to the lens.
    left, other = (
        Receptor(f"{figure.name}.shoulder", place + HELD_OFF * up, rim, None)
        for place in sorted(_shoulders(made), key=lambda place: float(place @ ready.view.right))
    )
    mark = receptor_at(ready.scene, Mark(name=of))
    face, (hair, left, other) = held_with(ready, mark, figure, (hair, left, other), store=store)
    return About(figure, face, hair, (left, other))


def _shoulders(made: Stance) -> tuple[Floats, Floats]:
    """The tops of both shoulders (3,) m, as the figure is posed and turned, dressed."""
    left, right = (made.world(made.skeleton.joints[f"shoulder.{side}"]) for side in ("left", "right"))
    across = (right - left) / np.linalg.norm(right - left)
    reach = SHOULDER * made.figure.height
    up = np.array([0.0, 0.0, reach])
    return left + up - 0.5 * reach * across, right + up + 0.5 * reach * across


def read_about(ready: Ready, figures: Sequence[About], *, store: AnyStore, seed: int = 1) -> Levels:
    """The readings at all receptors about some figures, figure after figure, one column a light of `ready`."""
    receptors = tuple(receptor for one in figures for receptor in one.receptors)
    return levels(
        ready, receptors, rays=RAYS, bounce_rays=BOUNCE_RAYS, bounces=BOUNCES, seed=seed, store=store
    )


def face_light(one: About, lux: Levels, row: int, names: Sequence[str], ready: Ready) -> FaceLight:
    """What is on a figure whose readings start at a row of `lux`; `names` of its columns' lights."""
    camera = ready.scene.camera
    flat, _, _, left, right, hair, *shoulders = lux.total[row : row + len(one.receptors)]
    key = key_and_fill(names, lux.direct[row], flat)
    column = int(np.argmax(flat)) if key is not None else 0
    way = None
    if key is not None:
        way = way_of(
            one.face.flat.position, lux.flow[row, column], float(lux.direct[row + 1, column]), ready.view
        )
    edge = hair + shoulders[0] + shoulders[1]
    whole, on_hair = float(flat.sum()), float(hair.sum())
    on_left, on_right = (float(each.sum()) for each in shoulders)
    return FaceLight(
        one.figure.name,
        whole,
        _stops(whole, camera),
        key,
        None if key is None else _stops(key.key_lux, camera),
        None if key is None else _stops(key.fill_lux, camera),
        way,
        cheeks_of(float(left.sum()), float(right.sum()), one.face.left_is_own),
        on_hair,
        _stops(on_hair, camera),
        (on_left, on_right),
        (_stops(on_left, camera), _stops(on_right, camera)),
        names[int(np.argmax(edge))] if edge.sum() > 0.0 else None,
        None if key is None else read_colour(lux.rgb[row, column]),
    )


def faces(ready: Ready, *, store: AnyStore, seed: int = 1) -> tuple[FaceLight, ...]:
    """What the light does on each figure of a scene, in the order of its cast."""
    figures = [about(ready, figure, store=store) for figure in ready.scene.cast]
    if not figures:
        return ()
    lux = read_about(ready, figures, store=store, seed=seed)
    names = [light.name for light in ready.lights]
    return tuple(
        face_light(one, lux, number * len(one.receptors), names, ready) for number, one in enumerate(figures)
    )


def _stops(lux: float, camera: Camera) -> float | None:
    return float(incident_stops(lux, camera)) if lux > 0.0 else None
