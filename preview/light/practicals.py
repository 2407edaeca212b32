"""Practicals: sources seen in frame, with the luminance that their lumens and size give them."""

from __future__ import annotations

from math import pi

import numpy as np

from preview.build.practicals import practical_parts, tube_diameter
from preview.light import beam as beams
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.finish import finished
from preview.light.light import Emitter, Glow, Light
from preview.light.sky import towards
from preview.script.models.fixtures import Fixture
from preview.script.models.practicals import Practical
from preview.script.scene import Scene
from preview.trade.catalogue import lamp


def practical_light(scene: Scene, fixture: Fixture, practical: Practical) -> Light:
    usual = lamp(practical.kind)
    at = scene.point(practical.at)
    anchor = scene.anchors.get(practical.at.of or "")
    facing = None if practical.facing is None else scene.azimuth(practical.facing, at)
    size: float | tuple[float, float] | None = practical.size or usual.size_m
    if practical.kind == "window" and anchor is not None and anchor.size is not None:
        size = anchor.size
        if anchor.facing is not None:
            facing = float(np.arctan2(anchor.facing[0], anchor.facing[1]))
    bodies, surface = practical_parts(fixture.name, kind=practical.kind, at=at, size_m=size, facing=facing)
    lumens = _lumens(practical)
    emitter: Emitter
    if practical.kind == "window":
        assert isinstance(size, tuple)
        out = towards(azimuth=facing if facing is not None else pi, elevation=0.0)
        area = size[0] * size[1]
        luminance = practical.luminance or usual.luminance or 0.0
        if practical.lumens is not None:
            luminance = practical.lumens / (pi * area)
        centre = np.asarray(surface.vertices, dtype=np.float64).mean(axis=0)
        emitter = Patch(centre, out, (size[0] / 2, size[1] / 2), luminance * area, round=False)
    elif practical.kind == "street_lamp":
        assert isinstance(size, float)
        candela = beams.lambertian_candela(lumens)
        luminance = candela / (pi * (size / 2.0) ** 2)
        emitter = Patch(at, np.array([0.0, 0.0, -1.0]), (size / 2.0, size / 2.0), candela)
    elif practical.kind == "tube":
        assert isinstance(size, float)
        radius = tube_diameter(size) / 2.0
        # A Lambertian cylinder of intensity I square to it sends out pi^2 I.
        candela = lumens / pi**2
        luminance = candela / (2.0 * radius * size)
        along = towards(azimuth=facing or 0.0, elevation=0.0)
        emitter = Tube(at, along, size, radius, candela)
    else:
        assert isinstance(size, float)
        # A flame is a third as wide as high; a ball of the same face, so the same luminance, stands for it.
        radius = size / 2.0 if practical.kind != "candle" else size / 2.0 / 3.0**0.5
        luminance = beams.ball_candela(lumens) / (pi * radius**2)
        emitter = Ball(at, radius, luminance)
    return finished(
        fixture,
        (emitter,),
        kelvin=practical.kelvin or usual.kelvin,
        xy=usual.xy if practical.kelvin is None else None,
        glows=(Glow(surface, luminance),),
        bodies=tuple(bodies),
    )


def _lumens(practical: Practical) -> float:
    """Lumens as given, or by the kind's usual lumens a watt; nan for a window without any."""
    usual = lamp(practical.kind)
    if practical.lumens is not None:
        return practical.lumens
    if usual.lumens is None:
        return float("nan")
    if practical.watts is None or usual.watts is None:
        return usual.lumens
    return usual.lumens * practical.watts / usual.watts
