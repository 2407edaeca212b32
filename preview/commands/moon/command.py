"""Moon: where the moon should come from: the scene under it from each direction, with figures, ranked, and why."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from preview.commands.moon.answer import blocks
from preview.commands.moon.data import data
from preview.commands.moon.found import found_in
from preview.commands.moon.rank import USUAL
from preview.commands.moon.sweep import SweepOptions, sweep
from preview.script.read import Script
from preview.sheets.answer.blocks import Answer
from preview.trace.store import AnyStore

NAME = "moon"
TRACED = 0.75
"""Share of the work, about, that tracing is."""


@dataclass(frozen=True)
class MoonOptions:
    """`weights`: of the words of `rank.WORDS`."""

    sweep: SweepOptions = field(default_factory=SweepOptions)
    setup: str | None = None
    look: str | None = None
    weights: Mapping[str, float] = field(default_factory=lambda: dict(USUAL))


def moon(
    script: Script,
    options: MoonOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """The scene of a script under the moon from each direction. Only what `store` does not have is traced."""
    scene = script.scene(setup=options.setup, look=options.look)
    swept = sweep(scene, options.sweep, store=store, progress=lambda share: progress(TRACED * share))
    found = found_in(swept, options.weights, store=store)
    progress(1.0)
    lens = scene.camera.lens
    about = f"Setup {scene.setup}" + (f", look {scene.look}" if scene.look else "")
    about += f", {lens.focal:g} mm at T{lens.stop:g}, ISO {scene.camera.iso:g}"
    title = f"{scene.title}: where the moon comes from"
    return Answer(NAME, title, about, blocks(found, options.weights), data(found, options.weights))
