"""Setups drawing: the plan of a script's setups, made of what was found of them."""

from __future__ import annotations

from math import atan

import numpy as np

from preview.commands.setups.command import Compared
from preview.commands.setups.moon_side import eyes_of
from preview.commands.setups.screen_direction import gaze_of
from preview.script.models.pieces.ground import Ground
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Drawing
from preview.sheets.from_above import heights_of
from preview.sheets.setups_plan import Moonlight, Plan, SeenFrom, Somebody, setups_plan


def plan_of(found: Compared) -> Drawing:
    """Cameras, figures as the widest has them, lines of action, and the moon's light as it comes to the first of them."""
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
    moons = seen[0].lit[cast[0].name].moons
    flat = {name for name, piece in wide.scene.set if isinstance(piece, Ground)}
    heights = heights_of(wide.world, flat | {figure.name for figure in wide.scene.cast})
    heights[2] -= wide.scene.terrain.height(heights[0], heights[1])
    plan = Plan(
        cameras, figures, lines, [Moonlight(each.fixture, each.azimuth_deg) for each in moons], heights
    )
    return Drawing(
        "From above",
        setups_plan(plan),
        f"From above: the cameras of {listed_all([one.name for one in seen])}, {listed_all(list(places))}, and the lines "
        f"between those who look at each other.",
        "Squares: cameras, with the sides of their frames; a triangle stands across a line. Discs: figures as the widest "
        "has them, with their looks. Dashed: the line of action. Arrows: the way the moon's light goes.",
    )
