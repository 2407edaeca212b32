"""Looks: every look of a script, or a sweep of one setting or two, side by side; nothing is traced for them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import degrees

import numpy as np
from numpy.typing import NDArray

from preview.camera.develop import scene_linear
from preview.camera.display_table import make_ready, sheet_picture
from preview.commands.looks.data import cell_data
from preview.commands.looks.figures import Held, LookFigures, figures_of, hold
from preview.commands.looks.pictures import developed
from preview.commands.looks.settings import alike, to_set
from preview.commands.looks.sweeps import Change, Setting, Sweep, refuse_many, sweep_of, together
from preview.commands.looks.words import cell_rows, differences, out_of_frame, reading_sentence
from preview.commands.notes.notes import notes
from preview.commands.prepare import Ready, prepare
from preview.commands.shot import ACROSS, shot, stops_of
from preview.faults import Fault, UserError
from preview.light.finish import relit
from preview.script.read import Script
from preview.script.scene import Scene
from preview.script.words import unknown
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Table, Words
from preview.trace.plate import Plate
from preview.trace.store import AnyStore

Array = NDArray[np.float32]
Pixels = NDArray[np.uint8]

OWN = "as scripted"
MOST_COLUMNS = 4
"""Of a grid: narrower pictures are not judged."""
MOST_FACES = 3
"""Whose figures stand below each picture; the table has all."""


@dataclass(frozen=True)
class LookOptions:
    """`looks`: names of the script's own to show; with none and no sweep, all. `sweeps`: settings with their values as
    given, such as ("level", "moon key=25..100"). `seed`: None for the script's."""

    setup: str | None = None
    looks: tuple[str, ...] = ()
    sweeps: tuple[tuple[Setting, str], ...] = ()
    width: int = ACROSS
    seed: int | None = None


@dataclass(frozen=True)
class Variation:
    """One cell: its name, the scene as it is in it, and what of a look would make it so; None of one in the script."""

    name: str
    scene: Scene
    change: Change | None = None


@dataclass(frozen=True)
class Compared:
    """All cells in their order; `own`: which of them is the script's own, with which the others are compared; `columns` in
    which they lie best; `alone`: whether the first, the script's own, stands before a grid of the others."""

    variations: tuple[Variation, ...]
    own: int
    columns: int
    alone: bool = False


@dataclass(frozen=True)
class Shown:
    """A variation as the camera shows it."""

    variation: Variation
    picture: Pixels
    figures: LookFigures


def looks(
    script: Script,
    options: LookOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """A sheet of looks, the script's own levels first, with what is set for each and how each differs.

    The plate is traced where `store` has none of it, once. UserError for what is not in the script, for a value that
    cannot be set, and for more than a sheet compares.
    """
    compared = compared_of(script, options)
    make_ready()
    own = compared.variations[compared.own].scene
    ready = prepare(own, store=store)
    seed = own.seed if options.seed is None else options.seed
    one = shot(ready, store=store, width=options.width, seed=seed, progress=progress)
    held = hold(ready, store=store, seed=seed)
    shown = all_shown(ready, one.plate, held, compared.variations)
    store.settle()
    return _answer(shown, compared, held.out)


def compared_of(script: Script, options: LookOptions) -> Compared:
    """What is compared. UserError for what is not in the script or cannot be set, and for more than a sheet compares."""
    own = script.scene(setup=options.setup)
    chosen = _chosen(script, options)
    sweeps = [sweep_of(setting, text, own) for setting, text in options.sweeps]
    refuse_many(sweeps, chosen)
    first = Variation(OWN, own)
    if not sweeps:
        found = [Variation(name, script.scene(setup=options.setup, look=name)) for name in chosen]
        return Compared((first, *found), 0, _columns(len(found) + 1))
    found = [one for look in chosen or (None,) for one in _swept(script, options.setup, look, sweeps)]
    same = [number for number, one in enumerate(found) if alike(one.scene, own)]
    across = len(sweeps[-1].steps)
    if (len(sweeps) == 2 or chosen) and 2 <= across <= MOST_COLUMNS:
        for number in same:
            found[number] = Variation(f"{found[number].name}, {OWN}", own)
        if same:
            return Compared(tuple(found), same[0], across)
        return Compared((first, *found), 0, across, alone=True)
    others = [one for number, one in enumerate(found) if number not in same]
    if not others:
        raise UserError(f"{sweeps[0].option}: that is as the script has it, so there is nothing to compare")
    return Compared((first, *others), 0, _columns(len(others) + 1))


def _swept(script: Script, setup: str | None, look: str | None, sweeps: Sequence[Sweep]) -> list[Variation]:
    """A cell for each step, or each pair of steps of two sweeps, of the script's own or of a look of it."""
    steps = list(product(*(sweep.steps for sweep in sweeps)))
    changes = [together([step.change for step in some]) for some in steps]
    try:
        scenes = script.varied(changes, setup=setup, look=look)
    except UserError as error:
        raise UserError(*dict.fromkeys(_optioned(fault, sweeps) for fault in error.faults)) from None
    names = [", ".join((*((look,) if look else ()), *(step.name for step in some))) for some in steps]
    return [
        Variation(name, scene, None if look else change)
        for name, scene, change in zip(names, scenes, changes, strict=True)
    ]


def _columns(cells: int) -> int:
    return 2 if cells <= 4 else 3


def _chosen(script: Script, options: LookOptions) -> tuple[str, ...]:
    for name in options.looks:
        if name not in script.looks:
            raise UserError(f"--looks: {unknown('look', name, script.looks)}")
    if options.looks:
        return tuple(dict.fromkeys(options.looks))
    if options.sweeps:
        return ()
    if not script.looks:
        raise UserError(
            Fault(
                script.path,
                None,
                "",
                "the script has no looks; write some, or sweep: --balance 3200,4400,5600",
            )
        )
    return script.looks


def _optioned(fault: Fault | str, sweeps: Sequence[Sweep]) -> str:
    """A fault of a value that was given on the command line, with the option that it was given to."""
    if isinstance(fault, str):
        return fault
    last = fault.path.rpartition(".")[2]
    option = next((sweep.option for sweep in sweeps if sweep.setting == last), sweeps[0].option)
    return f"{option}: {fault.message}"


def all_shown(ready: Ready, plate: Plate, held: Held, variations: Sequence[Variation]) -> list[Shown]:
    """All variations of the scene that `ready` is of, as the camera shows them."""
    readies = [_relit(ready, variation.scene) for variation in variations]

    def show(number: int, radiance: Array) -> Shown:
        camera = readies[number].scene.camera
        figures = figures_of(readies[number], plate, stops_of(radiance, camera), held)
        return Shown(variations[number], sheet_picture(scene_linear(radiance, camera)), figures)

    return developed(readies, plate, show, meanwhile=_drawing)


def _drawing() -> None:
    """Reads in what will draw and print, while others work."""
    import preview.sheets.answer.text
    import preview.sheets.answer.write  # noqa: F401


def _relit(ready: Ready, scene: Scene) -> Ready:
    """The same set and camera under a look; lights of fixtures that it leaves are the same lights."""
    three = zip(ready.lights, ready.scene.fixtures, scene.fixtures, strict=True)
    lights = tuple(light if was == now else relit(light, scene, now) for light, was, now in three)
    return replace(ready, scene=scene, lights=lights)


def _answer(shown: Sequence[Shown], compared: Compared, out: Sequence[str]) -> Answer:
    own = shown[compared.own]
    scene = own.variation.scene
    said = [
        _own_words(own.figures)
        if number == compared.own
        else differences(own.figures, one.figures, scene, one.variation.scene)
        for number, one in enumerate(shown)
    ]
    sets = [to_set(scene, one.variation.scene) for one in shown]
    cells = [
        Cell(
            _title(one.variation.name),
            one.picture,
            tuple(cell_rows(one.figures, most=MOST_FACES)),
            tuple(words),
        )
        for one, words in zip(shown, said, strict=True)
    ]
    blocks: list[Block] = []
    if out:
        blocks.append(Words((out_of_frame(scene, out),)))
    if compared.alone:
        blocks += [Pictures(tuple(cells[:1]), compared.columns), Pictures(tuple(cells[1:]), compared.columns)]
    else:
        blocks.append(Pictures(tuple(cells), compared.columns))
    blocks.append(_settings(shown, sets, compared.own))
    if told := _notes(own, shown):
        blocks.append(Words(tuple(told), "On the fixtures"))
    data = {
        "title": scene.title,
        "setup": scene.setup,
        "as_scripted": own.variation.name,
        "out_of_frame": list(out),
        "cells": [
            cell_data(
                one.variation.name, one.variation.scene, one.variation.change, one.figures, words, changes
            )
            for one, words, changes in zip(shown, said, sets, strict=True)
        ],
    }
    return Answer("looks", f"{scene.title}: looks", _about(scene), tuple(blocks), data)


def _about(scene: Scene) -> str:
    camera = scene.camera
    return (
        f"Setup {scene.setup}, {camera.lens.focal:g} mm, T{camera.lens.stop:g}, ISO {camera.iso:g}, "
        f"{degrees(camera.shutter.angle):g}° at {camera.shutter.fps:g} fps, {camera.balance:.0f} K"
    )


def _own_words(figures: LookFigures) -> list[str]:
    told = reading_sentence(figures)
    return [] if told is None else [told]


def _title(name: str) -> str:
    return name[:1].upper() + name[1:]


def _settings(shown: Sequence[Shown], sets: Sequence[Sequence[tuple[str, str, str, str]]], own: int) -> Table:
    """Look by look what is set otherwise than the script has it."""
    rows = []
    for number, (one, changes) in enumerate(zip(shown, sets, strict=True)):
        name = _title(one.variation.name)
        if number != own and not changes:
            rows.append((name, "nothing", "", ""))
        for line, (thing, what, before, after) in enumerate(changes):
            rows.append((name if line == 0 else "", f"{thing}, {what}", after, before))
    return Table(
        "What to set",
        ("Look", "What", "To", "From"),
        tuple(rows),
        ("left", "left", "left", "left"),
        "Levels are of full; what is not listed stays as scripted. Faces are read in stops from grey on a flat receptor; "
        "key to fill is both against the fill; rim, the brightest edge of hair and shoulders; moon ratio, what the moon "
        "gives on a face over what practicals give there. Mireds are off the camera's white; clipping, over its latitude; "
        "lost, under its noise floor.",
    )


def _notes(own: Shown, shown: Sequence[Shown]) -> list[str]:
    """What a gaffer would say of levels and colours that are asked for, beyond what is so of the script's own; of one
    head at several levels, once."""
    known = set(notes([own.variation.scene]))
    told: dict[str, str] = {}
    for one in shown:
        for note in notes([one.variation.scene]):
            if note not in known:
                told.setdefault(note.partition(";")[0], note)
    return list(told.values())
