"""Fixture rows: the fixtures of a scene as `check` lists them, and what they draw in all."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from preview.commands.notes.notes import drawn, row_of
from preview.light.finish import bare_kelvin
from preview.light.heads import head_output
from preview.light.lamps import practical_kelvin
from preview.light.practicals import bulbs_of
from preview.script import written
from preview.script.models.fixtures import Fixture
from preview.script.models.practicals import Practical
from preview.script.models.through import Through
from preview.script.scene import Scene

FOOT = 0.3048
"""Metres. Source: international yard and pound agreement, 1959."""


def fixture_rows(scene: Scene) -> list[tuple[str, ...]]:
    """Name, source, what it is set to, level, watts, kelvin and what it shines through, of each fixture."""
    return [
        (
            fixture.name,
            *_source(fixture),
            _set_to(scene, fixture),
            f"{100 * fixture.level:.3g} %",
            *_watts_and_kelvin(scene, fixture),
            ", ".join(thing_words(thing) for thing in fixture.through),
        )
        for fixture in scene.fixtures
    ]


def _source(fixture: Fixture) -> tuple[str]:
    if fixture.practical is not None:
        return (fixture.practical.kind.replace("_", " "),)
    if isinstance(fixture.head, str):
        return (fixture.head,)
    if fixture.head is not None and fixture.head.photometry is not None:
        return (fixture.head.photometry,)
    if fixture.head is not None:
        return (f"{fixture.head.shape} described here",)
    return ("moon" if fixture.moon is not None else "sky",)


def _set_to(scene: Scene, fixture: Fixture) -> str:
    """`half flood`, `narrow`, `turned 90 deg`: what is set on a head beside its level; empty where nothing is."""
    row, parts = row_of(scene, fixture), []
    if row is not None and row.lenses:
        parts.append(fixture.lens or row.usual)
    if row is not None and row.outputs and row.output(fixture.lens).spot is not None:
        named = {0.0: "full spot", 0.5: "half flood", 1.0: "full flood"}
        parts.append(named.get(round(fixture.flood, 6), f"{100 * fixture.flood:.3g} % flood"))
    if fixture.turn:
        parts.append(f"turned {degrees(fixture.turn):.3g} deg")
    return ", ".join(parts)


def drawn_in_all(scene: Scene) -> Iterator[str]:
    """A sentence about all that heads and practicals draw, if they draw anything."""
    watts = [each for fixture in scene.fixtures if (each := _watts(scene, fixture)) is not None]
    if watts:
        yield drawn(watts)


def _watts(scene: Scene, fixture: Fixture) -> float | None:
    """As given, else the catalogue's; None where nobody knows."""
    if fixture.head is not None:
        return head_output(fixture, scene.catalogue, scene.path.parent).watts
    return None if fixture.practical is None else _practical_watts(scene, fixture.practical)


def _watts_and_kelvin(scene: Scene, fixture: Fixture) -> tuple[str, str]:
    """As given, else the catalogue's; empty where nobody knows."""
    watts, kelvin = _watts(scene, fixture), None
    if fixture.head is not None:
        kelvin = head_output(fixture, scene.catalogue, scene.path.parent).kelvin
    elif fixture.practical is not None:
        kelvin = _practical_kelvin(scene, fixture.practical)
    elif fixture.moon is not None:
        kelvin = fixture.moon.kelvin
    elif fixture.sky is not None:
        kelvin = fixture.sky.kelvin
    kelvin = None if kelvin is None else bare_kelvin(fixture, scene.catalogue, kelvin=kelvin)
    return "" if watts is None else f"{watts:g}", "" if kelvin is None else f"{kelvin:.0f}"


def _practical_watts(scene: Scene, practical: Practical) -> float | None:
    """A flame's heat is no load, and what gives lumens of its own need not be the usual lamp."""
    if practical.kind in ("candle", "fire"):
        return None
    watts = practical.watts
    if watts is None and practical.lumens is None:
        watts = scene.catalogue.lamps[practical.kind].watts
    if watts is not None and practical.kind == "string":
        return watts * len(bulbs_of(scene, practical))
    return watts


def _practical_kelvin(scene: Scene, practical: Practical) -> float:
    return practical_kelvin(practical, scene.catalogue.lamps[practical.kind])


def thing_words(thing: Through) -> str:
    """What it is, as it would be called for: `half-grid 8 × 8 ft`, `soft box 1 × 0.6 m`, `barn doors`."""
    sized = (
        (thing.frame, thing.cloth or "empty frame"),
        (thing.bounce, f"off {thing.of or 'a board'}"),
        (thing.box, "soft box"),
        (thing.flag, thing.cloth or "flag"),
        (thing.cucoloris, "cucoloris"),
    )
    for size, name in sized:
        if size is not None:
            return f"{name} {_frame(*size)}"
    if thing.shift is not None:
        return f"{thing.shift:+g} mired"
    if thing.gel is not None:
        return thing.gel if isinstance(thing.gel, str) else thing.gel.file
    if thing.scrim is not None:
        return f"{thing.scrim} scrim"
    if thing.doors is not None:
        return "barn doors"
    return "snoot" if thing.snoot is not None else f"{thing.cloth} on the head"


def _frame(width: float, height: float) -> str:
    """Feet where both sides are whole feet, as frames of cloth mostly are; else metres."""
    feet = (width / FOOT, height / FOOT)
    if all(abs(side - round(side)) < 1e-6 for side in feet):
        return f"{feet[0]:.0f} × {feet[1]:.0f} ft"
    return f"{written.figures(round(width, 2))} × {written.figures(round(height, 2))} m"
