"""Meter: what a light meter, a colour meter and a spot meter say in a scene, written as card and JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import degrees
from pathlib import Path
from typing import Final

import numpy as np

from preview.camera.exposure import footcandles, grey_illuminance_of
from preview.camera.framing import view_of
from preview.camera.incident import DOME_CONSTANT, SPOT_CONSTANT, constant_of
from preview.commands.metering.at_mark import mark_report
from preview.commands.metering.directions import Stand, falloffs
from preview.commands.metering.eye_light import eye_light
from preview.commands.metering.frames import frames_of
from preview.commands.metering.held import Held, held
from preview.commands.metering.luminances import FRAME_WIDTH, Place, behind, spot
from preview.commands.metering.readings import Receptor, levels, receptor_at, receptors
from preview.commands.prepare import Ready, prepare
from preview.faults import Fault, UserError
from preview.script.models.cast import Mark
from preview.script.scene import Scene
from preview.script.words import unknown
from preview.sheets.data import json_text
from preview.sheets.meter_report import MeterReport, to_json
from preview.sheets.stage import staged
from preview.trace.store import AnyStore

RAYS: Final = 1024
"""The most to each source from each receptor."""
TOLERANCE: Final = 0.004
"""Share by which the halves of a reading's rays may differ: their mean is nearer."""
BOUNCE_RAYS: Final = 2048
BOUNCES: Final = 2
DATA_FILE: Final = "meter.json"


@dataclass(frozen=True)
class MeterOptions:
    """`marks`: names of those that are read, none for all; `spots`: places of the frame; `seed` of the sampling."""

    marks: tuple[str, ...] = ()
    spots: tuple[Place, ...] = ()
    seed: int = 1


def meter(
    scene: Scene,
    folder: Path,
    options: MeterOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> MeterReport:
    """Reads a scene's marks and writes meter.json and its cards, meter.png, into `folder`. Returns the report.

    What `store` has of it is not traced again. Raises UserError for a mark that is not there, a set that cannot be built,
    and a folder that cannot be written; then nothing is written.
    """
    from concurrent.futures import ThreadPoolExecutor

    chosen = chosen_marks(scene, options.marks)
    ready = prepare(scene, store=store)
    with ThreadPoolExecutor(1) as pool:
        # What draws is read in while rays are traced.
        drawing = pool.submit(_drawing)
        report = read_meter(ready, chosen, options, store=store, progress=progress)
        drawing.result()
    store.settle()
    from preview.sheets.meter_card import meter_cards
    from preview.sheets.png import save_png

    cards = meter_cards(report)
    names = [f"meter{'' if number == 0 else f'-{number + 1}'}.png" for number in range(len(cards))]
    report = replace(report, files=(*names, DATA_FILE))
    with staged(folder) as stage:
        for name, card in zip(names, cards, strict=True):
            save_png(card, stage / name)
        (stage / DATA_FILE).write_text(json_text(to_json(report)) + "\n", encoding="utf-8")
    return report


def spot_places(scene: Scene, given: Sequence[tuple[float, float, bool]]) -> tuple[Place, ...]:
    """Places of the frame from x and y in pixels of one 960 wide, or in per cent. UserError for one outside."""
    view = view_of(scene)
    width, height = float(FRAME_WIDTH), FRAME_WIDTH / view.aspect
    places = []
    for x, y, per_cent in given:
        u, v = (x / 100.0, y / 100.0) if per_cent else (x / width, y / height)
        if not (0.0 <= u <= 1.0 and 0.0 <= v <= 1.0):
            raise UserError(
                f"--spot {x:g},{y:g} lies outside the frame, which is {width:.0f} x {height:.0f} pixels."
                if not per_cent
                else f"--spot {x:g}%,{y:g}% lies outside the frame."
            )
        places.append(Place(u, v))
    return tuple(places)


def _drawing() -> None:
    import preview.sheets.meter_card  # noqa: F401


def chosen_marks(scene: Scene, names: Sequence[str]) -> tuple[Receptor, ...]:
    """The receptors of marks by their names, all of them without any; any other named place will do as well."""
    known = {mark.name: mark for mark in receptors(scene)}
    if not names:
        return tuple(known.values())
    faults: list[Fault | str] = []
    answer: dict[str, Receptor] = {}
    for name in names:
        if name in known:
            answer[name] = known[name]
        elif name in scene.anchors:
            answer[name] = receptor_at(scene, Mark(name=name))
        else:
            faults.append(Fault(scene.path, None, "", unknown("mark", name, [*known, *scene.anchors])))
    if faults:
        raise UserError(*faults)
    return tuple(answer.values())


def read_meter(
    ready: Ready,
    marks: tuple[Receptor, ...],
    options: MeterOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> MeterReport:
    """Everything that the meter says at receptors of a scene made ready."""
    scene, camera = ready.scene, ready.scene.camera
    faces = {f"{figure.name}.{part}": figure for figure in scene.cast for part in ("face", "eyes")}
    on_marks = [held(ready, mark, faces.get(mark.of), store=store) for mark in marks]
    read_already = {one.figure.name for one in on_marks if one.figure}
    others = [
        held(ready, receptor_at(scene, Mark(name=f"{figure.name}.face")), figure, store=store)
        for figure in scene.cast
        if figure.name not in read_already
    ]
    everything = (*on_marks, *others)
    rows = np.cumsum([0, *(len(one.receptors) for one in everything)])
    lux = levels(
        ready,
        tuple(receptor for one in everything for receptor in one.receptors),
        rays=RAYS,
        bounce_rays=BOUNCE_RAYS,
        bounces=BOUNCES,
        tolerance=TOLERANCE,
        seed=options.seed,
        store=store,
    )
    progress(0.4)
    seen_behind = behind(
        ready,
        {one.figure.name: one.place for one in on_marks if one.figure},
        seed=options.seed,
        store=store,
    )
    progress(0.7)
    stands = _stands(scene, everything)
    grey = grey_illuminance_of(camera)
    dome_grey = grey * DOME_CONSTANT / constant_of(dome=False)
    spots = tuple(spot(ready, place, seed=options.seed, store=store) for place in options.spots)
    progress(0.9)
    return MeterReport(
        title=scene.title,
        setup=scene.setup,
        look=scene.look,
        seed=options.seed,
        focal_mm=camera.lens.focal,
        stop=camera.lens.stop,
        iso=camera.iso,
        shutter_deg=degrees(camera.shutter.angle),
        fps=camera.shutter.fps,
        balance_k=camera.balance,
        tint=camera.tint,
        grey_lux=grey,
        grey_footcandles=footcandles(grey),
        grey_dome_lux=dome_grey,
        grey_dome_footcandles=footcandles(dome_grey),
        flat_constant=constant_of(dome=False),
        dome_constant=DOME_CONSTANT,
        spot_constant=SPOT_CONSTANT,
        marks=tuple(
            mark_report(ready, one, lux, int(first), seen_behind.get(one.figure.name if one.figure else ""))
            for one, first in zip(on_marks, rows, strict=False)
        ),
        falloffs=falloffs(ready, stands, store=store),
        eyes=eye_light(ready, store=store),
        spots=spots,
        frames=frames_of(ready, tuple(one.flat for one in on_marks)),
    )


def _stands(scene: Scene, everything: Sequence[Held]) -> tuple[Stand, ...]:
    """Who and what light reaches: each figure once, however many marks it has, and each other mark."""
    cast = {figure.name for figure in scene.cast}
    stands: dict[str, Stand] = {}
    for one in everything:
        figure = one.flat.of.rpartition(".")[0] or one.flat.of
        name = figure if figure in cast else one.name
        stands.setdefault(name, Stand(name, one.flat.position))
    return tuple(stands.values())
