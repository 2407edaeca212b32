"""Practicals: sources seen in frame, with the luminance that their lumens and size give them."""

from __future__ import annotations

from itertools import count
from math import pi

import numpy as np
from numpy.typing import NDArray

from preview.build.fire import EMBERS, FACE, LOWER, UPPER, embers_part
from preview.build.practicals import UP, practical_parts, string_glow, tube_diameter
from preview.light import beam as beams
from preview.light.emitters.ball import Ball
from preview.light.emitters.patch import Patch
from preview.light.emitters.tube import Tube
from preview.light.emitters.webbed import Webbed, WebGlow
from preview.light.finish import finished
from preview.light.flame_glow import FlameGlow
from preview.light.headlamp import Beam, aimed, headlamp_lumens, headlamp_web
from preview.light.lamps import practical_kelvin, practical_lumens
from preview.light.light import Emitter, Glow, Light
from preview.light.sky import towards
from preview.script.models.fixtures import Fixture
from preview.script.models.pieces.camp import Campfire
from preview.script.models.practicals import Practical
from preview.script.scene import Scene
from preview.trade.catalogue import LampRow

Floats = NDArray[np.float64]
Array = NDArray[np.float32]

BEAMS: dict[str, Beam] = {"headlamp": "dipped", "main_beam": "main"}
NARROW = 4
"""A tail lamp's light falls off with this power of the cosine: to 3/4 at 20 degrees, 1/4 at 45. Our own."""


def _narrowing(cosine: Array) -> Array:
    return np.asarray(np.maximum(cosine, np.float32(0.0)) ** NARROW, np.float32)


def _narrowing_luminance(cosine: Array) -> Array:
    return np.asarray(np.maximum(cosine, np.float32(0.0)) ** (NARROW - 1), np.float32)


def practical_light(scene: Scene, fixture: Fixture, practical: Practical) -> Light:
    usual = scene.catalogue.lamps[practical.kind]
    at = scene.point(practical.at)
    if practical.kind == "string":
        return _string(scene, fixture, practical, usual)
    if practical.kind in (*BEAMS, "tail_lamp", "brake_lamp"):
        return _of_vehicle(scene, fixture, practical, usual, at)
    anchor = scene.anchors.get(practical.at.of or "")
    facing = None if practical.facing is None else scene.azimuth(practical.facing, at)
    size: float | tuple[float, float] | None = practical.size or usual.size_m
    if practical.kind == "window" and anchor is not None and anchor.size is not None:
        size = anchor.size
        if anchor.facing is not None:
            facing = float(np.arctan2(anchor.facing[0], anchor.facing[1]))
    kind = practical.kind
    bodies, surface = practical_parts(fixture.name, kind=kind, at=at, size_m=size, facing=facing)
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
    glows: tuple[Glow, ...] = (Glow(surface, luminance),)
    if kind == "fire":
        assert isinstance(size, float)
        coals = Glow(embers_part(fixture.name, at, size), EMBERS * luminance)
        glows = (FlameGlow(surface, luminance, foot=at, height=size), coals)
        if any(isinstance(piece, Campfire) and name == practical.at.of for name, piece in scene.set):
            bodies = []
    return finished(
        scene,
        fixture,
        emitters,
        kelvin=practical_kelvin(practical, usual),
        glows=glows,
        bodies=tuple(bodies),
    )


def bulbs_of(scene: Scene, practical: Practical) -> Floats:
    """Places (n, 3) of the bulbs of the string that a practical lights, its offset reckoned with."""
    places = []
    for number in count():
        anchor = scene.anchors.get(f"{practical.at.of}[{number}]")
        if anchor is None:
            break
        places.append(anchor.position)
    return np.array(places, dtype=float).reshape(-1, 3) + np.array(practical.at.offset)


def _string(scene: Scene, fixture: Fixture, practical: Practical, usual: LampRow) -> Light:
    """Every bulb a ball of its own, so that wet ground, paint and eyes show each; all of them one light."""
    bulbs = bulbs_of(scene, practical)
    size = practical.size or usual.size_m or 0.045
    candela = beams.ball_candela(practical_lumens(practical, usual) or 0.0)
    luminance = candela / (pi * (size / 2.0) ** 2)
    return finished(
        scene,
        fixture,
        tuple(Ball(bulb, size / 2.0, luminance) for bulb in bulbs),
        kelvin=practical_kelvin(practical, usual),
        glows=(Glow(string_glow(fixture.name, bulbs, size), luminance),),
    )


def _of_vehicle(scene: Scene, fixture: Fixture, practical: Practical, usual: LampRow, at: Floats) -> Light:
    """A headlamp's beam along the way its place looks, or a red glass."""
    anchor = scene.anchors.get(practical.at.of or "")
    out = (0.0, -1.0, 0.0)
    if practical.facing is not None:
        azimuth = scene.azimuth(practical.facing, at)
        out = (float(np.sin(azimuth)), float(np.cos(azimuth)), 0.0)
    elif anchor is not None and anchor.facing is not None:
        out = anchor.facing
    axes = aimed(out)
    azimuth = float(np.arctan2(axes[2][0], axes[2][1]))
    across = practical.size or usual.size_m or 0.1
    size = (across, across)
    if practical.size is None and anchor is not None and anchor.size is not None:
        size = anchor.size
    kind = practical.kind
    assert kind in ("headlamp", "main_beam", "tail_lamp", "brake_lamp")
    _, surface = practical_parts(fixture.name, kind=kind, at=at, size_m=size, facing=azimuth)
    lumens = practical_lumens(practical, usual) or 0.0
    emitters: tuple[Emitter, ...]
    glow: Glow
    if kind in BEAMS:
        web = headlamp_web(BEAMS[kind], size[0])
        scale = lumens / headlamp_lumens(BEAMS[kind])
        lens = Webbed(web, at, axes, web.opening, scale)
        straight = float(lens.luminance(axes[2].astype(np.float32)[:, None])[0])
        emitters = (lens,)
        glow = WebGlow(surface, straight, source=lens)
    else:
        candela = lumens * (NARROW + 1) / (2.0 * pi)
        half = size[0] / 2.0, size[1] / 2.0
        emitters = (Patch(at, axes[2], half, candela, round=False, profile=_narrowing),)
        glow = Glow(surface, candela / (size[0] * size[1]), axes[2], _narrowing_luminance)
    return finished(scene, fixture, emitters, kelvin=practical_kelvin(practical, usual), glows=(glow,))


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
