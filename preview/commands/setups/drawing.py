"""Setups drawing: the plan of a script's setups, made of what was found of them."""

from __future__ import annotations

from collections.abc import Mapping
from math import atan, degrees
from typing import Final

import numpy as np

from preview.commands.setups.command import Compared
from preview.commands.setups.footprints import near_by, set_on_plan
from preview.commands.setups.moon_side import apart_deg, eyes_of
from preview.commands.setups.screen_direction import gaze_of
from preview.script.scene import Scene
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Drawing
from preview.sheets.setups_plan import Moonlight, Plan, SeenFrom, Somebody, setups_plan

SAME_WAY: Final = 3.0
"""Degrees within which a light comes the same way."""


def plan_of(found: Compared) -> Drawing:
    """The set, cameras, figures as the widest has them, lines of action, and the moon's light of every setup as it comes to
    the first of them."""
    seen = found.seen
    across = {setup for line in found.lines for setup in line.across}
    cameras = [
        SeenFrom(
            one.name,
            one.ready.view.position[:2],
            one.ready.view.forward[:2] / max(float(np.linalg.norm(one.ready.view.forward[:2])), 1e-9),
            atan(one.ready.view.tan_half_width),
            one.name in across,
        )
        for one in seen
    ]
    in_frame = {name for name in found.rows if any(one.lit[name].in_frame for one in seen)}
    wide = seen[0].ready
    cast = [figure for figure in wide.scene.cast if figure.name in in_frame] or list(wide.scene.cast)
    figures = [
        Somebody(figure.name, eyes_of(wide.scene, figure)[:2], gaze_of(wide.scene, figure)[:2])
        for figure in cast
    ]
    places = {figure.name: figure.at for figure in figures}
    lines = [
        np.array([places[name] for name in line.figures])
        for line in found.lines
        if set(line.figures) <= set(places)
    ]
    shown = set_on_plan(wide)
    must = np.array([*(one.at for one in cameras), *(one.at for one in figures)])
    plan = Plan(cameras, figures, lines, moonlights(found, cast[0].name), shown, near_by(shown, must))
    return Drawing(
        "From above",
        setups_plan(plan),
        f"From above: the cameras of {listed_all([one.name for one in seen])}, {listed_all(list(places))}, and the lines "
        f"between those who look at each other.",
        "Squares: cameras, with the sides of their frames; a triangle stands across a line. Discs: figures as the widest "
        "has them, with their looks. Dashed: the line of action. Arrows: the way the moon's light goes; in brackets the "
        "setups, where not in all, and where something keeps it off everybody in frame." + _north(wide.scene),
    )


def _north(scene: Scene) -> str:
    """Where true north lies, if not where the plan's does."""
    turned = 0.0 if scene.place is None else degrees(scene.place.north) % 360.0
    if round(turned) % 360 == 0:
        return ""
    return f" N is the plan's north, which azimuths go by; true north lies at {turned:.0f}° of it."


def moonlights(found: Compared, figure: str) -> list[Moonlight]:
    """Every light that plays the moon as it comes to a figure, once for each azimuth that it has in some setups."""
    ways: dict[str, list[tuple[float, dict[str, bool]]]] = {}
    for one in found.seen:
        whom = [lit for lit in one.lit.values() if lit.in_frame] or list(one.lit.values())
        for source in one.lit[figure].moons:
            comes = any(lit.reach[source.fixture].comes for lit in whom)
            for azimuth, setups in ways.setdefault(source.fixture, []):
                if abs(apart_deg(azimuth, source.azimuth_deg)) < SAME_WAY:
                    setups[one.name] = comes
                    break
            else:
                ways[source.fixture].append((source.azimuth_deg, {one.name: comes}))
    return [
        Moonlight(name, azimuth, _where(setups, len(found.seen)))
        for name, found_ways in ways.items()
        for azimuth, setups in found_ways
    ]


def _where(setups: Mapping[str, bool], count: int) -> str:
    """`main`; `kept off in late`; `tight, kept off`: setups by whether the light comes to anybody there."""
    off = [name for name, comes in setups.items() if not comes]
    where = "" if len(setups) == count else listed_all(list(setups))
    if not off:
        return where
    kept = "kept off" if len(off) == len(setups) else f"kept off in {listed_all(off)}"
    return f"{where}, {kept}" if where else kept
