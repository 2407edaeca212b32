"""Notes: what a gaffer would say to a list of fixtures: what does not dim so far, what pulses or cannot be mixed,
what all of it draws."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees, log2

from preview.camera.exposure import exposure_time
from preview.commands.notes.colour import colour_notes
from preview.commands.notes.meshes import mesh_notes
from preview.commands.notes.night import night_notes
from preview.light.flicker import pulsing
from preview.script import written
from preview.script.models.fixtures import Fixture
from preview.script.scene import Scene
from preview.trade.head_row import HeadRow

MAINS = 50.0, 60.0
"""Hertz: a script does not say where it is shot."""
HALF = 0.5
"""How far a ballast dims. From memory: usual of electronic ones."""
ROUNDING = 1e-9


def notes(scenes: Sequence[Scene]) -> list[str]:
    """Each sentence once, of the script's own scene first, then of its setups and looks."""
    told: dict[str, str] = {}
    for scene in scenes:
        for note in _notes(scene):
            told.setdefault(note, note if scene is scenes[0] else f"{note[:-1]} ({_variant(scene)}).")
    return list(told.values())


def _variant(scene: Scene) -> str:
    return f"in the look {scene.look}" if scene.look is not None else f"in the setup {scene.setup}"


def _notes(scene: Scene) -> Iterator[str]:
    for fixture in scene.fixtures:
        row = row_of(scene, fixture)
        if row is None or fixture.level == 0.0:
            continue
        yield from _dimmed(fixture, row)
        yield from _pulsing(scene, fixture, row)
    yield from night_notes(scene)
    yield from colour_notes(scene)
    yield from mesh_notes(scene)


def row_of(scene: Scene, fixture: Fixture) -> HeadRow | None:
    """A fixture's row in the catalogue, if it is a head of it."""
    return scene.catalogue.heads[fixture.head] if isinstance(fixture.head, str) else None


def _dimmed(fixture: Fixture, row: HeadRow) -> Iterator[str]:
    level = f"{100 * fixture.level:.3g} %"
    if row.dims == "no" and fixture.level < 1.0 - ROUNDING:
        yield (
            f"{fixture.name}: {row.name} does not dim; take {_stops(1.0, fixture.level)} with scrims "
            f"for its {level}."
        )
    elif row.dims == "to 50 %" and fixture.level < HALF - ROUNDING:
        yield (
            f"{fixture.name}: {row.name} dims to 50 %; for {level} take {_stops(HALF, fixture.level)} more with scrims, "
            f"or {_stops(1.0, fixture.level)} from full."
        )


def _stops(start: float, end: float) -> str:
    stops = f"{log2(start / end):.2g}"
    return f"{stops} {'stop' if stops == '1' else 'stops'}"


def _pulsing(scene: Scene, fixture: Fixture, row: HeadRow) -> Iterator[str]:
    if not row.flicker:
        return
    shutter = scene.camera.shutter
    time = exposure_time(scene.camera)
    found = {mains: pulsing(row.flicker, fps=shutter.fps, exposure_s=time, mains_hz=mains) for mains in MAINS}
    seen = [
        f"by {pulse.stops:.2g} stops {pulse.beats:.2g} times a second on {mains:g} Hz mains"
        for mains, pulse in found.items()
        if pulse.is_seen
    ]
    steady = [f"{mains:g} Hz" for mains, pulse in found.items() if not pulse.is_seen]
    if not seen:
        return
    also = f"; it is steady on {steady[0]}" if steady else ""
    yield (
        f"{fixture.name}: {row.name} pulses at {shutter.fps:g} fps and {written.figures(degrees(shutter.angle))} deg "
        f"{', '.join(seen)}{also}."
    )


def drawn(watts: Sequence[float]) -> str:
    """`Heads and practicals draw 8.1 kW at full, ballasts and cable apart.`"""
    total = sum(watts)
    told = f"{total / 1000:.3g} kW" if total >= 1000 else f"{total:.3g} W"
    return f"Heads and practicals draw {told} at full, losses in ballasts and cable apart."
