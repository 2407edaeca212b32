"""Practicals: sources seen in frame, with the luminance that their lumens and size give them."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from preview.build.fire import FACE, LOWER, UPPER
from preview.build.practicals import UP, practical_parts, tube_diameter
from preview.light import beam as beams
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.finish import finished
from preview.light.lamps import practical_kelvin, practical_lumens
from preview.light.light import Emitter, Glow, Light
from preview.light.sky import towards
from preview.script.models.fixtures import Fixture
from preview.script.models.practicals import Practical
from preview.script.scene import Scene

Floats = NDArray[np.float64]


def practical_light(scene: Scene, fixture: Fixture, practical: Practical) -> Light:
    usual = scene.catalogue.lamps[practical.kind]
    at = scene.point(practical.at)
    anchor = scene.anchors.get(practical.at.of or "")
    facing = None if practical.facing is None else scene.azimuth(practical.facing, at)
    size: float | tuple[float, float] | None = practical.size or usual.size_m
    if practical.kind == "window" and anchor is not None and anchor.size is not None:
        size = anchor.size
        if anchor.facing is not None:
            facing = float(np.arctan2(anchor.facing[0], anchor.facing[1]))
    bodies, surface = practical_parts(fixture.name, kind=practical.kind, at=at, size_m=size, facing=facing)
    lumens = practical_lumens(practical, usual)
    emitters: tuple[Emitter, ...]
    if practical.kind == "window":
        assert isinstance(size, tuple)
        centre = np.asarray(surface.vertices, dtype=np.float64).mean(axis=0)
        area = size[0] * size[1]
        luminance = practical.luminance or usual.luminance or 0.0
        if lumens is not None:
            luminance = lumens / (pi * area)
        emitters = (_window(centre, size, luminance, facing=facing),)
    else:
        assert isinstance(size, float)
        if practical.kind == "fire" and lumens is None:
            lumens = 4.0 * pi * FACE * size**2 * (practical.luminance or usual.luminance or 0.0)
        emitters, luminance = _glowing(practical.kind, at, size, lumens or 0.0, facing=facing)
    return finished(
        scene,
        fixture,
        emitters,
        kelvin=practical_kelvin(practical, usual),
        glows=(Glow(surface, luminance),),
        bodies=tuple(bodies),
    )


def _window(centre: Floats, size: tuple[float, float], luminance: float, *, facing: float | None) -> Emitter:
    out = towards(azimuth=facing if facing is not None else pi, elevation=0.0)
    return Patch(centre, out, (size[0] / 2, size[1] / 2), luminance * size[0] * size[1], round=False)


def _glowing(
    kind: str, at: Floats, size: float, lumens: float, *, facing: float | None
) -> tuple[tuple[Emitter, ...], float]:
    """What shines for a lamp, tube or flame of a size in metres, and the luminance that is seen of it."""
    if kind == "street_lamp":
        candela = beams.lambertian_candela(lumens)
        disc = Patch(at, -UP, (size / 2.0, size / 2.0), candela)
        return (disc,), candela / (pi * (size / 2.0) ** 2)
    if kind == "tube":
        radius = tube_diameter(size) / 2.0
        # A Lambertian cylinder of intensity I square to it sends out pi^2 I.
        candela = lumens / pi**2
        along = towards(azimuth=facing or 0.0, elevation=0.0)
        return (Tube(at, along, size, radius, candela),), candela / (2.0 * radius * size)
    candela = beams.ball_candela(lumens)
    if kind == "fire":
        luminance = candela / (FACE * size**2)
        return tuple(
            Ball(at + size * up * UP, size * radius, luminance) for up, radius in (LOWER, UPPER)
        ), luminance
    # A flame is a third as wide as high; a ball of the same face, so the same luminance, stands for it.
    radius = size / 2.0 if kind != "candle" else size / 2.0 / 3.0**0.5
    luminance = candela / (pi * radius**2)
    return (Ball(at, radius, luminance),), luminance
