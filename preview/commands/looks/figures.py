"""Look figures: what one look does: on each face, the moon against the practicals, what clips and what is lost.

Faces are read once, in white and at full; every look is arithmetic on that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.commands.metering.face_light import About, FaceLight, about, face_light, read_about
from preview.commands.metering.readings import Levels, levels, receptors
from preview.commands.prepare import Ready
from preview.commands.source_clip import over_by_source
from preview.light.colour import chromaticity
from preview.light.colour_reading import ColourReading, colour_words, read_colour, read_xy
from preview.light.light import Light
from preview.light.spaces import ACESCG
from preview.script.models.cast import Figure
from preview.script.motives import MOON, motive_of
from preview.script.scene import Scene
from preview.trace.plate import Plate
from preview.trace.store import AnyStore

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

RAYS: Final = 256
BOUNCE_RAYS: Final = 512


@dataclass(frozen=True)
class Held:
    """Where light is read: the faces in frame, or without any the marks. `rows`: of `unit`, of the flat receptor of each of
    `names`; `unit`: readings of every light in white and at full; `faces` are none without a cast. `out`: the figures whose
    eyes are out of frame, of whom nothing is told while any face or mark is left."""

    names: tuple[str, ...]
    rows: tuple[int, ...]
    unit: Levels
    faces: tuple[About, ...]
    out: tuple[str, ...] = ()


@dataclass(frozen=True)
class Group:
    """Fixtures that play one part. `lux`: at each place that is read. `colour`: of what they give there together, as it is;
    None where they give nothing. `off_white_mired`: from the camera's balance, negative cooler; None where it has no colour
    temperature. `reads`: that in words."""

    fixtures: tuple[str, ...]
    lux: tuple[float, ...]
    colour: ColourReading | None
    off_white_mired: float | None
    reads: str

    @property
    def told_mired(self) -> int | None:
        """Off white as it is printed: whole mireds of the light less whole mireds of white, so that what is printed of one
        look or of two adds up."""
        if self.colour is None or self.off_white_mired is None:
            return None
        return round(self.colour.mired) - round(self.colour.mired - self.off_white_mired)


@dataclass(frozen=True)
class Lamp:
    """What is seen of a practical: `clipped`, the share of it over the sensor's latitude, 0 to 1, None where it is not in
    frame; `over_stops`: how far it is over, of what is uneven the middle of what is clipped. `lit`: whether it is on."""

    name: str
    lit: bool
    clipped: float | None
    over_stops: float


@dataclass(frozen=True)
class LookFigures:
    """`faces` without a cast is empty. `moon`, `practicals`: None where the script has none. Shares are of the frame."""

    faces: tuple[FaceLight, ...]
    places: tuple[str, ...]
    moon: Group | None
    practicals: Group | None
    lamps: tuple[Lamp, ...]
    under_share: float
    clipped_share: float

    @property
    def moon_over_practicals(self) -> tuple[float | None, ...]:
        """Stops at each place; None where either gives nothing there, or there is none of it."""
        if self.moon is None or self.practicals is None:
            return (None,) * len(self.places)
        both = zip(self.moon.lux, self.practicals.lux, strict=True)
        return tuple(log2(moon / lamp) if moon > 0.0 and lamp > 0.0 else None for moon, lamp in both)


def hold(ready: Ready, *, store: AnyStore, seed: int) -> Held:
    """Reads the light where a look is judged, once for all of them."""
    white = replace(
        ready, lights=tuple(replace(light, gain=1.0, colour=(1.0, 1.0, 1.0)) for light in ready.lights)
    )
    cast = ready.scene.cast
    out = tuple(figure.name for figure in cast if not _in_frame(ready, figure))
    marks = tuple(mark for mark in receptors(ready.scene) if mark.name.partition(".")[0] not in out)
    figures = tuple(
        about(ready, figure, store=store)
        for figure in cast
        if figure.name not in out or len(out) == len(cast)
    )
    if figures and (len(out) < len(cast) or not marks):
        unit = read_about(white, figures, store=store, seed=seed)
        eight = len(figures[0].receptors)
        names = tuple(one.figure.name for one in figures)
        return Held(names, tuple(eight * number for number in range(len(names))), unit, figures, out)
    unit = levels(white, marks, rays=RAYS, bounce_rays=BOUNCE_RAYS, bounces=1, seed=seed, store=store)
    return Held(tuple(mark.name for mark in marks), tuple(range(len(marks))), unit, (), out)


def _in_frame(ready: Ready, figure: Figure) -> bool:
    """Whether the frame takes in a figure's eyes."""
    eyes = np.array([ready.scene.anchors[f"{figure.name}.eyes"].position])
    places, depth = ready.view.project(eyes)
    return bool(depth[0] > 0.0 and ((places >= 0.0) & (places <= 1.0)).all())


def relit(unit: Levels, lights: Sequence[Light]) -> Levels:
    """Readings in white and at full as lights of other levels and colours, in their order, give them."""
    gains = np.array([light.gain for light in lights])
    colours = np.array([light.colour for light in lights]).reshape(-1, 3)
    indirect = unit.rgb - unit.direct[..., np.newaxis]
    return Levels(
        unit.direct * gains,
        gains * np.einsum("rlc,lc->rl", indirect, colours * ACESCG.luminance),
        unit.rgb * (gains[:, np.newaxis] * colours),
        unit.flow * gains[:, np.newaxis],
    )


def figures_of(ready: Ready, plate: Plate, stops: Array, held: Held) -> LookFigures:
    """The figures of a look, made ready; `stops` (h, w) from grey as the lens shows it."""
    scene = ready.scene
    lux = relit(held.unit, ready.lights)
    names = [light.name for light in ready.lights]
    latitude = scene.camera.latitude
    faces = tuple(
        face_light(one, lux, row, names, ready) for one, row in zip(held.faces, held.rows, strict=False)
    )
    moon, practicals = parts_of(scene)
    return LookFigures(
        faces,
        held.names,
        _group(ready, moon, lux, held),
        _group(ready, practicals, lux, held),
        tuple(_lamp(ready, plate, stops, fixture.name) for fixture in scene.fixtures if fixture.practical),
        float(np.mean(stops < -latitude.under)),
        float(np.mean(stops > latitude.over)),
    )


def parts_of(scene: Scene) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the fixtures that play the moon, and of the practicals with the heads that play one."""
    practicals = {fixture.name for fixture in scene.fixtures if fixture.practical is not None}
    motives = [(fixture.name, motive_of(fixture)) for fixture in scene.fixtures]
    return (
        tuple(name for name, motive in motives if motive == MOON),
        tuple(name for name, motive in motives if motive in practicals),
    )


def _group(ready: Ready, fixtures: tuple[str, ...], lux: Levels, held: Held) -> Group | None:
    if not fixtures:
        return None
    columns = [column for column, light in enumerate(ready.lights) if light.name in fixtures]
    here = lux.total[np.ix_(held.rows, columns)]
    colours = np.array([ready.lights[column].colour for column in columns])
    at_each = tuple(float(one) for one in here.sum(axis=1))
    whole = here.sum(axis=0) @ colours
    if not whole.any():
        return Group(fixtures, at_each, None, None, "gives no light here")
    camera = ready.scene.camera
    colour = read_colour(whole)
    white = read_xy(chromaticity(cct_k=camera.balance)).mired
    words = colour_words(colour, balance_k=camera.balance, tint=camera.tint)
    return Group(fixtures, at_each, colour, None if colour.hue else colour.mired - white, words)


def _lamp(ready: Ready, plate: Plate, stops: Array, name: str) -> Lamp:
    """A pixel that shows a practical's own surface is of a part that is only shown, and glows; how far an even one is over
    is told by its own luminance."""
    lit = any(light.gain > 0.0 for light in ready.lights if light.name == name)
    parts = [
        -2 - part
        for part, owner in enumerate(ready.stage.glow_of_part)
        if owner is not None and owner[0] == name
    ]
    seen = stops[np.isin(plate.part, parts)]
    if seen.size == 0:
        return Lamp(name, lit, None, 0.0)
    own = over_by_source(ready, name, pixels=seen.size)
    if own is not None:
        return Lamp(name, lit, float(own > 0.0), max(own, 0.0))
    over = seen - np.float32(ready.scene.camera.latitude.over)
    clipped = over[over > 0.0]
    return Lamp(name, lit, clipped.size / seen.size, float(np.median(clipped)) if clipped.size else 0.0)
