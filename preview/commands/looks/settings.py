"""Look settings: what is set otherwise for a look, told as a gaffer or an operator sets it."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, log2

from preview.commands.looks.sweeps import amount_words, level_words, trimmed
from preview.commands.looks.words import warmer
from preview.commands.notes.notes import HALF, ROUNDING, row_of
from preview.light.colour import chromaticity
from preview.light.colour_reading import read_xy
from preview.light.lamps import practical_kelvin
from preview.script.models.camera import Camera
from preview.script.models.fixtures import Fixture
from preview.script.models.through import Through
from preview.script.scene import Scene
from preview.trade.head_row import HeadRow

LEAST_SCRIM = 0.05
"""Stops under which no scrim is told: that is within what a dimmer holds. Common practice, no source."""


def to_set(was: Scene, now: Scene) -> list[tuple[str, str, str, str]]:
    """What is set otherwise: which thing, what of it, from what, to what, told as a gaffer or an operator sets it."""
    rows = []
    for before, after in zip(was.fixtures, now.fixtures, strict=True):
        rows += [(after.name, *row) for row in _fixture(before, after, was, now)]
    rows += [("camera", *row) for row in _camera(was.camera, now.camera)]
    return rows


def alike(one: Scene, other: Scene) -> bool:
    """Whether two scenes of one script are set alike, however it is written: at the kelvin that a lamp has anyway, too."""
    if one.camera != other.camera:
        return False
    return all(
        was.model_copy(update={"kelvin": None}) == now.model_copy(update={"kelvin": None})
        and set_kelvin(was, one) == set_kelvin(now, other)
        for was, now in zip(one.fixtures, other.fixtures, strict=True)
        if was != now
    )


def _fixture(
    was: Fixture, now: Fixture, scene_was: Scene, scene_now: Scene
) -> Iterator[tuple[str, str, str]]:
    if was.level != now.level:
        scrims = _scrims(now.level, row_of(scene_now, now))
        yield "level", level_words(was.level), level_words(now.level) + scrims
    kelvins = set_kelvin(was, scene_was), set_kelvin(now, scene_now)
    if kelvins[0] != kelvins[1]:
        yield "colour", _kelvin(kelvins[0]), _kelvin(kelvins[1])
    if was.mix != now.mix:
        yield "mix", _mix(was), _mix(now)
    gels = [[_gel(thing) for thing in fixture.through] for fixture in (was, now)]
    before, after = ([words for words in one if words] for one in gels)
    if before != after:
        yield "gels and scrims", " + ".join(before) or "none", " + ".join(after) or "none"


def _scrims(level: float, row: HeadRow | None) -> str:
    """What a head that does not dim so far takes for it."""
    lowest = 0.0 if row is None else 1.0 if row.dims == "no" else HALF if row.dims == "to 50 %" else 0.0
    if not 0.0 < level < lowest - ROUNDING:
        return ""
    stops = log2(lowest / level)
    if stops < LEAST_SCRIM:
        return ""
    at = "full" if lowest == 1.0 else f"{100.0 * lowest:.0f} %"
    return f" ({at} and {amount_words(stops)} of scrim)"


def set_kelvin(fixture: Fixture, scene: Scene) -> float | None:
    """What a fixture is set to, or is rated without being set; None where nothing says."""
    if fixture.kelvin is not None:
        return fixture.kelvin
    if fixture.practical is not None:
        return practical_kelvin(fixture.practical, scene.catalogue.lamps[fixture.practical.kind])
    row = row_of(scene, fixture)
    return None if row is None else row.kelvin


def _kelvin(kelvin: float | None) -> str:
    return "as the lamp is" if kelvin is None else f"{kelvin:.0f} K"


def _mix(fixture: Fixture) -> str:
    mix = fixture.mix
    if mix is None:
        return "white"
    if mix.hue is not None:
        return f"hue {degrees(mix.hue):.0f}°, {100 * mix.saturation:.0f} %"
    kelvin = "as rated" if mix.kelvin is None else f"{mix.kelvin:.0f} K"
    return f"{kelvin}, green {trimmed(mix.green)}" if mix.green else kelvin


def _gel(thing: Through) -> str:
    """Of a gel, a shift or a scrim, what it is called; of what is traced, nothing."""
    if thing.gel is not None:
        return thing.gel if isinstance(thing.gel, str) else thing.gel.file
    if thing.shift is not None:
        return f"shift {trimmed(thing.shift, 0)} mired"
    if thing.scrim is not None:
        return f"{thing.scrim} scrim"
    return ""


def _camera(was: Camera, now: Camera) -> Iterator[tuple[str, str, str]]:
    if was.iso != now.iso:
        yield "ISO", f"{was.iso:g}", f"{now.iso:g}"
    if was.lens.stop != now.lens.stop:
        yield "stop", f"T{was.lens.stop:g}", f"T{now.lens.stop:g}"
    if was.shutter != now.shutter:
        yield "shutter", _shutter(was), _shutter(now)
    if was.balance != now.balance:
        mired = _white(now) - _white(was)
        # A camera set for warmer light shows everything cooler.
        yield "balance", f"{was.balance:.0f} K", f"{now.balance:.0f} K, {warmer(-mired)}"
    if was.tint != now.tint:
        yield "tint", trimmed(was.tint), trimmed(now.tint)
    if was.latitude != now.latitude:
        yield "latitude", _latitude(was), _latitude(now)


def _white(camera: Camera) -> int:
    """Whole mireds, as those of what is seen against it are told."""
    return round(read_xy(chromaticity(cct_k=camera.balance)).mired)


def _shutter(camera: Camera) -> str:
    return f"{degrees(camera.shutter.angle):g}° at {camera.shutter.fps:g} fps"


def _latitude(camera: Camera) -> str:
    return f"{trimmed(-camera.latitude.under)} to {trimmed(camera.latitude.over)} stops"
