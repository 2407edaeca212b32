"""Cheats: what a setup moves, adds or takes away, in words, with the reason that the script gives."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, log2
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from preview.camera.framing import view_of
from preview.camera.view import View
from preview.commands.notes.fixture_rows import thing_words
from preview.commands.setups.moon_side import apart_deg
from preview.script import written
from preview.script.fields import Place
from preview.script.models.cast import Figure
from preview.script.models.fixtures import Fixture
from preview.script.scene import Scene
from preview.script.words import field_type

Floats = NDArray[np.float64]
Section = Literal["fixtures", "cast"]

NOT_CHANGES = {"name", "cheat", "added", "motive"}
STILL = 0.005
"""Metres: nearer, a thing has not moved."""


@dataclass(frozen=True)
class Cheat:
    """What one setup changes of a fixture or of a figure: `changes`, in words; `reason`, None where the script gives none.

    `added`: a fixture that is in no other setup.
    """

    setup: str
    section: Section
    name: str
    changes: tuple[str, ...]
    reason: str | None
    added: bool = False


def cheats_of(main: Scene, scene: Scene) -> tuple[Cheat, ...]:
    """What a setup changes against the script's own scene, cast first; also what is called a cheat and changes nothing."""
    view = view_of(scene)
    own_cast = {figure.name: figure for figure in main.cast}
    own_fixtures = {fixture.name: fixture for fixture in main.fixtures}
    answer = []
    for figure in scene.cast:
        changes = tuple(_of_figure(main, scene, own_cast[figure.name], figure, view))
        if changes or figure.cheat:
            answer.append(Cheat(scene.setup, "cast", figure.name, changes, figure.cheat))
    for fixture in scene.fixtures:
        own = own_fixtures.get(fixture.name)
        if own is None:
            words = (f"added: {_source(fixture)}",)
            answer.append(Cheat(scene.setup, "fixtures", fixture.name, words, fixture.cheat, added=True))
            continue
        changes = tuple(_of_fixture(main, scene, own, fixture))
        if changes or fixture.cheat:
            answer.append(Cheat(scene.setup, "fixtures", fixture.name, changes, fixture.cheat))
    return tuple(answer)


def same_build(one: Scene, other: Scene) -> bool:
    """Whether set and cast of two setups of one script are built alike."""
    if [_plain(figure) for figure in one.cast] != [_plain(figure) for figure in other.cast]:
        return False
    loose = {fixture.name for scene in (one, other) for fixture in scene.fixtures}
    loose |= {mark.name for scene in (one, other) for mark in scene.marks}
    first, second = (
        {name: anchor for name, anchor in scene.anchors.items() if name not in loose}
        for scene in (one, other)
    )
    return first == second


def _plain(figure: Figure) -> Figure:
    return figure.model_copy(update={"cheat": None})


def _of_figure(main: Scene, scene: Scene, own: Figure, now: Figure, view: View) -> Iterator[str]:
    before, after = np.array([*own.at, 0.0]), np.array([*now.at, 0.0])
    moved = after - before
    if np.linalg.norm(moved) > STILL:
        yield moved_words(moved, view)
    turned = apart_deg(
        *(degrees(s.azimuth(f.facing, np.array([*f.at, 0.0]))) for s, f in ((main, own), (scene, now)))
    )
    if own.facing != now.facing and abs(turned) >= 0.5:
        yield f"turned {abs(turned):.0f}° to the {'right' if turned > 0.0 else 'left'}"
    yield from _others(own, now, {"at", "facing", "height_of_ground"})


def moved_words(moved: Floats, view: View) -> str:
    """How somebody has moved in plan, as the operator says it: `0.4 m camera left, 0.2 m nearer the lens`."""
    ahead = np.array([view.forward[0], view.forward[1], 0.0])
    ahead = (
        ahead / np.linalg.norm(ahead)
        if np.linalg.norm(ahead) > 1e-6
        else np.array([view.up[0], view.up[1], 0.0])
    )
    across, along = float(moved @ view.right), float(moved @ ahead)
    said = []
    if abs(across) >= 0.03:
        said.append(f"{metres(across)} camera {'right' if across > 0.0 else 'left'}")
    if abs(along) >= 0.03:
        said.append(f"{metres(along)} {'farther from' if along > 0.0 else 'nearer'} the lens")
    return ", ".join(said) or f"moved {metres(float(np.linalg.norm(moved)))}"


def _of_fixture(main: Scene, scene: Scene, own: Fixture, now: Fixture) -> Iterator[str]:
    if now.level == 0.0 and own.level > 0.0:
        yield "taken out"
    elif now.level != own.level:
        by = log2(now.level / own.level) if own.level > 0.0 else 0.0
        how = (
            f"{abs(by):.1f} stop{'s' if abs(by) > 1.04 else ''} {'up' if by > 0.0 else 'down'}, "
            if by
            else ""
        )
        yield f"{how}{100 * own.level:.3g} % to {100 * now.level:.3g} %"
    if own.at is not None and now.at is not None and own.at != now.at:
        moved = scene.point(now.at) - main.point(own.at)
        if np.linalg.norm(moved) > STILL:
            rise = float(moved[2])
            height = "" if abs(rise) < 0.05 else f", {metres(rise)} {'higher' if rise > 0.0 else 'lower'}"
            yield f"moved {metres(float(np.linalg.norm(moved)))}{height}"
    if own.aim is not None and now.aim is not None and own.aim != now.aim:
        apart = float(np.linalg.norm(scene.point(now.aim) - main.point(own.aim)))
        yield f"aimed {metres(apart)} off"
    if own.head != now.head:
        yield f"{_source(now)} for {_source(own)}"
    before, after = ([thing_words(thing) for thing in one.through] for one in (own, now))
    for thing, words in zip(now.through, after, strict=True):
        if words not in before:
            yield "flagged" if thing.flag is not None and thing.cloth is None else f"through {words}"
    yield from (f"without {words}" for words in before if words not in after)
    if before == after and own.through != now.through:
        yield "what it shines through is moved"
    yield from _others(own, now, {"at", "aim", "head", "level", "through"})


def _source(fixture: Fixture) -> str:
    if isinstance(fixture.head, str):
        return fixture.head
    if fixture.head is not None:
        return "a head described there"
    return (
        fixture.practical.kind.replace("_", " ")
        if fixture.practical is not None
        else "moon"
        if fixture.moon
        else "sky"
    )


def _others(own: BaseModel, now: BaseModel, told: set[str], before: str = "") -> Iterator[str]:
    """Keys that differ and that no words of their own are for: `kelvin 5600 K to 4300 K`."""
    for name, field in type(now).model_fields.items():
        old, new = getattr(own, name), getattr(now, name)
        if name in NOT_CHANGES or name in told or old == new:
            continue
        key = f"{before}{(field.alias or name).replace('_', ' ')}"
        if isinstance(old, BaseModel) and isinstance(new, BaseModel) and not isinstance(new, Place):
            yield from _others(old, new, set(), f"{key} ")
        else:
            metadata = field_type(type(now), (field.alias or name,))[1]
            yield f"{key} {_value(old, metadata)} to {_value(new, metadata)}"


def _value(value: Any, metadata: list[Any]) -> str:
    return (
        "as described"
        if isinstance(value, BaseModel) and not isinstance(value, Place)
        else written.value(value, metadata)
    )


def metres(length: float) -> str:
    """`15 cm`, `2.4 m`, without its sign."""
    return f"{100 * abs(length):.0f} cm" if abs(length) < 0.95 else f"{abs(length):.1f} m"
