"""Cheat effects: what one cheat of a setup changes on the faces, found by reading the setup with it and without it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from preview.commands.prepare import Ready, prepare, same_set
from preview.commands.setups.cheats import Cheat, same_build
from preview.commands.setups.on_figure import OnFigure, on_figure
from preview.commands.setups.seen import SetupSeen, covered, lit_in
from preview.faults import UserError
from preview.script.read import Script
from preview.trace.store import AnyStore


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
    before = lit_in(without, None, covered(without).figures, store=store, seed=seed)
    found: dict[str, OnFigure] = {}
    for figure in ready.scene.cast:
        now, then = one.lit[figure.name], before[figure.name]
        if now.in_frame or then.in_frame:
            found[figure.name] = on_figure(figure.name, cheat, ready, without, now, then)
    strongest = sorted(found.items(), key=lambda one: -one[1].strength)
    told = [f"{name}: {each.words}" for name, each in strongest if each.words]
    words = "; ".join(told) or (
        "under 0.1 stop on every face in frame" if found else "nobody of the cast is in frame to see it"
    )
    return Effect(cheat, found, words)
