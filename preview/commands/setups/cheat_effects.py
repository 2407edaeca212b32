"""Cheat effects: what one cheat of a setup changes on the faces, found by reading the setup with it and without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from preview.commands.prepare import Ready, prepare, same_set
from preview.commands.setups.cheats import Cheat, same_build
from preview.commands.setups.moon_side import Source, apart_deg, eyes_of, source_of
from preview.commands.setups.seen import Lit, SetupSeen, lit_in
from preview.faults import UserError
from preview.script.read import Script
from preview.sheets.answer.words import signed
from preview.trace.store import AnyStore

STOPS: Final = 0.1
DEGREES: Final = 2.0
MIRED: Final = 3.0
FRAME: Final = 0.01
"""What is less than these is not told; the last is a share of the frame's width."""


@dataclass(frozen=True)
class OnFigure:
    """What a cheat changes on one figure: with it, less without it. Stops as exposed, mireds warmer positive; degrees that
    its own fixture comes round from the lens, clockwise in the world, and up; shares of the frame's width, to the right.
    None where there is no such light with it or without it, or nothing to compare."""

    key_stops: float | None
    fill_stops: float | None
    rim_stops: float | None
    colour_mired: float | None
    round_deg: float | None
    azimuth_deg: float | None
    up_deg: float | None
    frame_share: float | None
    words: str


@dataclass(frozen=True)
class Effect:
    """What a cheat changes, by figure in frame; `words` of all of them. `refused`: why it cannot be told."""

    cheat: Cheat
    figures: Mapping[str, OnFigure]
    words: str
    refused: str = ""


def effect_of(
    script: Script,
    one: SetupSeen,
    cheat: Cheat,
    *,
    built: Sequence[Ready],
    look: str | None,
    store: AnyStore,
    seed: int,
) -> Effect:
    """Reads the setup as it would be without the cheat, and says what differs; `built`: what is made ready already."""
    if not cheat.changes:
        return Effect(cheat, {}, "moves nothing: what it says is as the script has it")
    try:
        scene = script.scene(setup=one.name, look=look, without=(cheat.section, cheat.name))
    except UserError as error:
        fault = error.faults[0]
        why = fault if isinstance(fault, str) else fault.message
        return Effect(cheat, {}, f"the setup does not stand without it: {why}", str(why))
    ready = one.ready
    like = next((each for each in built if same_build(each.scene, scene)), None)
    without = prepare(scene, store=store) if like is None else same_set(like, scene)
    before = lit_in(without, None, store=store, seed=seed)
    found: dict[str, OnFigure] = {}
    for figure in ready.scene.cast:
        now, then = one.lit[figure.name], before[figure.name]
        if now.in_frame or then.in_frame:
            found[figure.name] = _on_figure(figure.name, cheat, ready, without, now, then)
    told = [f"{name}: {each.words}" for name, each in found.items() if each.words]
    words = "; ".join(told) or (
        "under 0.1 stop on every face in frame" if found else "nobody of the cast is in frame to see it"
    )
    return Effect(cheat, found, words)


def _on_figure(name: str, cheat: Cheat, ready: Ready, without: Ready, now: Lit, then: Lit) -> OnFigure:
    judged = not (now.unseen or then.unseen)
    key = _less(now.face.key_stops, then.face.key_stops) if judged else None
    fill = _less(now.face.fill_stops, then.face.fill_stops) if judged else None
    rim = _less(now.face.rim_stops, then.face.rim_stops)
    colour = None
    if (
        judged
        and now.face.key_colour
        and then.face.key_colour
        and not (now.face.key_colour.hue or then.face.key_colour.hue)
    ):
        colour = now.face.key_colour.mired - then.face.key_colour.mired
    ways = [_source(each, name, cheat) for each in (ready, without)]
    turn = azimuth = up = None
    if ways[0] is not None and ways[1] is not None:
        turn = ways[0].way.round_deg - ways[1].way.round_deg
        azimuth = apart_deg(ways[1].azimuth_deg, ways[0].azimuth_deg)
        up = ways[0].height_deg - ways[1].height_deg
    place = _across(ready, name), _across(without, name)
    share = None if place[0] is None or place[1] is None else place[0] - place[1]
    levels = (("key", key), ("fill", fill), ("rim", rim))
    said = [f"{what} {signed(by)} stop" for what, by in levels if by is not None and _tells(by, STOPS)]
    if colour is not None and _tells(colour, MIRED):
        said.append(f"key {abs(colour):.0f} mired {'warmer' if colour > 0.0 else 'cooler'}")
    if turn is not None and _tells(turn, DEGREES):
        said.append(f"{abs(turn):.0f}° {'farther round' if turn > 0.0 else 'more frontal'}")
    if up is not None and _tells(up, DEGREES):
        said.append(f"{abs(up):.0f}° {'higher' if up > 0.0 else 'lower'}")
    if share is not None and _tells(share, FRAME):
        said.append(f"{100 * abs(share):.0f} % of the frame to the {'right' if share > 0.0 else 'left'}")
    if now.in_frame != then.in_frame:
        said.append("comes into frame" if now.in_frame else f"{now.unseen}, which without it is not so")
    return OnFigure(key, fill, rim, colour, turn, azimuth, up, share, ", ".join(said))


def _less(now: float | None, then: float | None) -> float | None:
    return None if now is None or then is None else now - then


def _tells(by: float | None, least: float) -> bool:
    return by is not None and abs(by) >= least


def _source(ready: Ready, figure: str, cheat: Cheat) -> Source | None:
    """Where a cheated fixture comes to a figure from; None for a cheat of a figure, and where it is not there or off."""
    if cheat.section != "fixtures":
        return None
    who = next(each for each in ready.scene.cast if each.name == figure)
    for fixture, light in zip(ready.scene.fixtures, ready.lights, strict=True):
        if fixture.name == cheat.name and fixture.level > 0.0:
            return source_of(ready, who, fixture, light)
    return None


def _across(ready: Ready, figure: str) -> float | None:
    """Where in the frame's width a figure's eyes are, 0 to 1 within it; None behind the lens."""
    who = next(each for each in ready.scene.cast if each.name == figure)
    uv, depth = ready.view.project(eyes_of(ready.scene, who)[np.newaxis])
    return float(uv[0, 0]) if depth[0] > 0.0 else None
