"""Setups: every camera of a script side by side, wide to tight, and whether the light is continuous between them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log2

from preview.commands.prepare import Ready, prepare, same_set
from preview.commands.setups.cheat_effects import Effect, effect_of
from preview.commands.setups.cheats import cheats_of, same_build
from preview.commands.setups.continuity import Row, rows_of
from preview.commands.setups.meant import with_meant
from preview.commands.setups.screen_direction import Line, Walk, lines_of, walks_of
from preview.commands.setups.seen import SetupSeen, see, width_m
from preview.commands.setups.tolerance import USUAL, Tolerance
from preview.commands.shot import ACROSS
from preview.faults import UserError
from preview.script.read import Script
from preview.script.words import unknown
from preview.sheets.answer.blocks import Answer
from preview.trace.store import AnyStore


@dataclass(frozen=True)
class SetupsOptions:
    """`setups`: those compared, none for all. `width`: pixels across each picture. `seed`: None for the script's."""

    setups: tuple[str, ...] = ()
    look: str | None = None
    tolerance: Tolerance = USUAL
    width: int = ACROSS
    seed: int | None = None


@dataclass(frozen=True)
class Compared:
    """All that was found: the setups, wide to tight, the rows of each figure, what each cheat does, who crosses what."""

    title: str
    seen: tuple[SetupSeen, ...]
    rows: dict[str, tuple[Row, ...]]
    effects: tuple[Effect, ...]
    lines: tuple[Line, ...]
    walks: tuple[Walk, ...]
    tolerance: Tolerance
    look: str | None

    def exposed_over(self, setup: SetupSeen) -> float:
        """Stops that a setup is exposed over the widest."""
        return log2(self.seen[0].grey_lux / setup.grey_lux)


def setups(
    script: Script,
    options: SetupsOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """A sheet of a script's setups, wide to tight, with what holds between them, what drifts, and what is cheated.

    What `store` has of it is not traced again. UserError for a setup or look that is not there.
    """
    from preview.commands.setups.answer import answer_of

    return answer_of(compare(script, options, store=store, progress=progress))


def compare(
    script: Script,
    options: SetupsOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Compared:
    """Traces, reads and compares the setups."""
    main = script.scene(look=options.look)
    seed = main.seed if options.seed is None else options.seed
    made = _made_ready(script, options, store)
    seen: list[SetupSeen] = []
    for number, ready in enumerate(made):
        start = number / (len(made) + 1)
        seen.append(
            see(
                ready,
                store=store,
                width=options.width,
                seed=seed,
                progress=lambda share, start=start: progress(start + share / (len(made) + 1)),  # type: ignore[misc]
            )
        )
    effects = [
        effect_of(script, one, cheat, built=made, look=options.look, store=store, seed=seed)
        for one in seen
        for cheat in cheats_of(main, one.ready.scene)
    ]
    store.settle()
    watched = [one.watched for one in seen]
    progress(1.0)
    return Compared(
        main.title,
        tuple(seen),
        {figure.name: _rows(figure.name, seen, effects, options.tolerance) for figure in main.cast},
        tuple(effects),
        lines_of(watched),
        walks_of(watched),
        options.tolerance,
        options.look,
    )


def _rows(
    figure: str, seen: Sequence[SetupSeen], effects: Sequence[Effect], tolerance: Tolerance
) -> tuple[Row, ...]:
    return tuple(with_meant(row, effects, tolerance) for row in rows_of(figure, seen, tolerance))


def _made_ready(script: Script, options: SetupsOptions, store: AnyStore) -> list[Ready]:
    """The setups, the set built once where it is the same, from the widest to the tightest."""
    built: list[Ready] = []
    for name in _chosen(script, options.setups):
        scene = script.scene(setup=name, look=options.look)
        like = next((ready for ready in built if same_build(ready.scene, scene)), None)
        built.append(prepare(scene, store=store) if like is None else same_set(like, scene))
    return sorted(built, key=lambda ready: -width_m(ready))


def _chosen(script: Script, names: Sequence[str]) -> Sequence[str]:
    for name in names:
        if name not in script.setups:
            raise UserError(f"--setups: {unknown('setup', name, script.setups)}")
    return tuple(dict.fromkeys(names)) or script.setups
