"""Finish: what every fixture gets last: its lamp's spectrum, its level, its gels and so its colour.

The colour is that of the lamp's spectrum times the transmissions of all gels; the gain is level, scrims, and what the
gels pass of this lamp's light. Nothing here changes what is traced.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from preview.build.mesh import Part
from preview.light.colour import rgb
from preview.light.colour_reading import read_xy
from preview.light.filters import filtered
from preview.light.lamps import is_filament, is_settable, lamp_spectrum, practical_lamp, warmed
from preview.light.light import Emitter, Glow, Light
from preview.light.mixing import Mixture, mixture
from preview.light.spaces import ACESCG
from preview.light.spectrum import xy_of_spectrum
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import Head, Mixed
from preview.script.scene import Scene
from preview.trade.catalogue import Catalogue, spectrum

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Bare:
    """What a lamp gives before any gel: `spectrum` (81,); `kelvin` where it is set or named by one, else None.

    `output`: against the lamp's rated white, of a head that mixes; `mix`: how it does.
    """

    spectrum: Floats
    kelvin: float | None
    output: float = 1.0
    mix: Mixture | None = None


def finished(
    scene: Scene,
    fixture: Fixture,
    emitters: tuple[Emitter, ...],
    *,
    kelvin: float,
    glows: tuple[Glow, ...] = (),
    bodies: tuple[Part, ...] = (),
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0),
) -> Light:
    """A light with its level, gels and colour; `kelvin` is its lamp's at full level.

    `tint`: linear ACEScg of luminance 1, the colour of boards that it comes off.
    """
    bare = bare_light(fixture, scene.catalogue, kelvin=kelvin)
    passed = filtered(bare.spectrum, fixture.through, scene.catalogue, scene.path.parent)
    xy = xy_of_spectrum(passed.spectrum)
    coloured, gain = tinted(rgb(xy), tint)
    return Light(
        fixture.name,
        emitters,
        fixture.level * bare.output * passed.gain * gain,
        coloured,
        bare.kelvin if passed.is_clear and bare.kelvin is not None else _kelvin(xy),
        glows,
        bodies,
        lamp_k=kelvin,
        tint=tint,
    )


def relit(light: Light, scene: Scene, fixture: Fixture) -> Light:
    """A light as a look sets its fixture otherwise: nothing of it is traced again."""
    same = finished(
        scene,
        fixture,
        light.emitters,
        kelvin=light.lamp_k,
        glows=light.glows,
        bodies=light.bodies,
        tint=light.tint,
    )
    return replace(same, modifiers=light.modifiers, origins=light.origins)


def tinted(
    colour: tuple[float, float, float], tint: tuple[float, float, float]
) -> tuple[tuple[float, float, float], float]:
    """A light's colour off boards of a tint, of luminance 1 again; and how much more than a white light comes off them."""
    if tint == (1.0, 1.0, 1.0):
        return colour, 1.0
    both = np.array(colour) * np.array(tint)
    gain = float(ACESCG.luminance @ both)
    red, green, blue = (both / gain).tolist()
    return (red, green, blue), gain


def bare_light(fixture: Fixture, catalogue: Catalogue, *, kelvin: float) -> Bare:
    """A fixture's light before its gels: of its lamp, whose rated kelvin is given, as it is dimmed, set and mixed.

    A filament under full is warmer, unless the fixture's own kelvin says what its light is. A lamp of one colour of its
    own that is given a kelvin is a plain light of that. A head that a script describes by its lamp alone has the usual
    kelvin of that lamp.
    """
    lamp = lamp_of(fixture, catalogue)
    if isinstance(fixture.head, Head) and lamp is not None and "kelvin" not in fixture.head.model_fields_set:
        kelvin = spectrum(lamp).kelvin
    asked = fixture.kelvin
    if lamp is not None and spectrum(lamp).emitters:
        mix = mixture(fixture.mix or Mixed(), lamp=lamp, rated_k=kelvin, kelvin=asked or kelvin)
        plain = fixture.mix is None and mix.reached
        return Bare(mix.spectrum, asked or kelvin if plain else None, mix.output, mix)
    if not is_settable(lamp):
        return (
            Bare(lamp_spectrum(lamp, kelvin), None)
            if asked is None
            else Bare(lamp_spectrum(None, asked), asked)
        )
    if asked is None:
        asked = warmed(kelvin, level=fixture.level) if is_filament(lamp) else kelvin
    return Bare(lamp_spectrum(lamp, asked), asked)


def lamp_of(fixture: Fixture, catalogue: Catalogue) -> str | None:
    """The name of a fixture's spectrum; None for a plain light of its kelvin."""
    if isinstance(fixture.head, Head):
        return fixture.head.lamp
    if fixture.head is not None:
        return catalogue.heads[fixture.head].lamp
    if fixture.practical is not None:
        return practical_lamp(fixture.practical, catalogue.lamps[fixture.practical.kind])
    return None


def bare_kelvin(fixture: Fixture, catalogue: Catalogue, *, kelvin: float) -> float | None:
    """The colour temperature of a fixture's light before its gels, as it is dimmed and set; None where it has none."""
    bare = bare_light(fixture, catalogue, kelvin=kelvin)
    return bare.kelvin or _kelvin(xy_of_spectrum(bare.spectrum))


def _kelvin(xy: tuple[float, float]) -> float | None:
    """As a colour meter says it; None for a colour that has no temperature."""
    reading = read_xy(xy)
    return reading.kelvin if reading.hue is None else None
