"""Moon rig: for a direction of the moon, where real units can stand that play it, and how each differs from the moon."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import pi, radians
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preview.build.assemble import assemble
from preview.camera.framing import view_of
from preview.commands.metering.face_light import HEAD
from preview.commands.metering.readings import HELD_OFF, receptor_at, receptors
from preview.commands.moon.sweep import Mooned, SweepOptions, mooned, without_moon
from preview.commands.prepare import Ready, prepare, stage_of
from preview.commands.rig.answer import rig_answer
from preview.commands.rig.around import Around, Target, Watcher, target_at
from preview.commands.rig.found import Found
from preview.commands.rig.nearest import nearest_candidates
from preview.commands.rig.places import SWAY, Perch, direction
from preview.commands.rig.search import EDGE, Candidate, Search, edge_points, search, varied
from preview.commands.rig.stock import Stock
from preview.commands.rig.trial import Trial, tried
from preview.faults import UserError
from preview.script.models.cast import Figure, Mark
from preview.script.read import Script
from preview.script.scene import Scene
from preview.script.words import did_you_mean
from preview.sheets.answer.blocks import Answer
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

MOST: Final = 5
"""Rigs that are told."""
TRIED_AT_ONCE: Final = 6
MOST_TRIED: Final = 24
NEAREST_TRIED: Final = 18
"""Candidates farther off than a cheat goes that are built before it is given up."""
BESIDE: Final = 0.06
"""Metres more that a meter is held off the middle of a head: clear of its hair."""


@dataclass(frozen=True)
class RigOptions:
    """The moon that is wanted: degrees, azimuth clockwise from north and elevation up, of where its light comes from.

    `lux`: on a surface at the mark that faces it; `kelvin`; None for what the script's moon gives now. `setup`: whose
    camera tells the bearing and shows the pictures. `mark`: a mark, a figure or a named place; default: the first face.
    `looks_deg`: how large it should look from the mark, None for hard or soft as it comes. `across`: pixels of a picture.
    """

    azimuth_deg: float
    elevation_deg: float
    lux: float | None = None
    kelvin: float | None = None
    setup: str | None = None
    look: str | None = None
    mark: str | None = None
    looks_deg: float | None = None
    across: int = 480
    seed: int = 1


def rig(
    script: Script,
    options: RigOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """The rigs that do it, verified by the meter and looked for in every setup; or what stops each place.

    UserError for a direction that is none, a mark that is not there, a set that cannot be built.
    """
    if not 1.0 <= options.elevation_deg <= 90.0:
        raise UserError(
            f"the moon's height: {options.elevation_deg:g}° is not between 1 and 90 degrees above the horizon"
        )
    if options.lux is not None and not options.lux > 0.0:
        raise UserError(f"the moon's light: {options.lux:g} lux is not more than none")
    scene = script.scene(setup=options.setup, look=options.look)
    moon = mooned(scene, SweepOptions(lux=options.lux, kelvin=options.kelvin))
    bare, _ = without_moon(scene)
    ready = prepare(bare, store=store)
    progress(0.1)
    around = _around(script, scene, ready, options)
    stock = Stock(scene.catalogue, moon.kelvin)
    found = search(around, stock, lux=moon.lux, looks=options.looks_deg)
    progress(0.3)
    trials, failures = _trials(around, replace(ready, scene=scene), found.candidates, moon, options, store)
    progress(0.5)
    nearest = None
    if not trials and (found.candidates or not found.free):
        nearest = _nearest(around, replace(ready, scene=scene), found, stock, moon, options, store)
    answer = rig_answer(
        Found(
            around,
            ready,
            stock,
            moon,
            options.looks_deg,
            found,
            tuple(trials),
            tuple(failures),
            nearest,
        ),
        store=store,
        across=options.across,
        seed=options.seed,
        progress=lambda share: progress(0.5 + 0.5 * share),
    )
    progress(1.0)
    return answer


def _trials(
    around: Around,
    ready: Ready,
    candidates: Sequence[Candidate],
    moon: Mooned,
    options: RigOptions,
    store: AnyStore,
) -> tuple[list[Trial], list[str]]:
    aim = _aim(around)
    waiting = varied(candidates)
    kept: list[Trial] = []
    failures: list[str] = []
    for _ in range(MOST_TRIED // TRIED_AT_ONCE):
        batch = [one for one, _ in zip(waiting, range(TRIED_AT_ONCE), strict=False)]
        if not batch or len(kept) >= MOST:
            break
        for one in tried(around, ready, batch, aim, lux=moon.lux, store=store, seed=options.seed):
            trouble = _against(one)
            if trouble is not None:
                failures.append(trouble)
            elif isinstance(one, Trial):
                kept.append(_recounted(one))
    return sorted(kept[:MOST], key=lambda one: one.candidate.points), failures


def _aim(around: Around) -> str | list[float]:
    if around.mark.name in around.scene.anchors:
        return around.mark.name
    return [round(float(x), 3) for x in around.mark.place]


def _against(one: Trial | str) -> str | None:
    """What is against a rig as it was built, in words; None where it does it."""
    if isinstance(one, str):
        return one
    if one.in_shot:
        return f"in shot in {' and '.join(one.in_shot)}"
    if one.clear_m < SWAY:
        return f"only {one.clear_m:.1f} m from coming into frame"
    if one.close:
        return f"hidden by less than {SWAY:g} m in {' and '.join(one.close)}"
    return None


def _recounted(trial: Trial) -> Trial:
    """A trial whose points count how far the frame's edge is from it as built."""
    reasons = dict(trial.candidate.reasons)
    reasons[EDGE] = edge_points(trial.clear_deg)
    sorted_reasons = tuple(sorted(reasons.items(), key=lambda one: -one[1]))
    candidate = replace(trial.candidate, points=sum(reasons.values()), reasons=sorted_reasons)
    return replace(trial, candidate=candidate)


def _nearest(
    around: Around,
    ready: Ready,
    found: Search,
    stock: Stock,
    moon: Mooned,
    options: RigOptions,
    store: AnyStore,
) -> Perch | None:
    """The place of a rig that does it, as near to the direction asked for as any."""
    left = NEAREST_TRIED
    rings = nearest_candidates(around, stock, found.seen, lux=moon.lux, looks=options.looks_deg)
    for _, candidates in rings:
        batch = [one for one, _ in zip(varied(candidates), range(TRIED_AT_ONCE // 2), strict=False)]
        done = tried(around, ready, batch, _aim(around), lux=moon.lux, store=store, seed=options.seed)
        for one in done:
            if isinstance(one, Trial) and _against(one) is None:
                return one.candidate.perch
        left -= len(batch)
        if left <= 0:
            break
    return None


def _around(script: Script, scene: Scene, ready: Ready, options: RigOptions) -> Around:
    towards = direction(radians(options.azimuth_deg), radians(options.elevation_deg))
    clear = HELD_OFF + BESIDE

    def of_figure(figure: Figure) -> Target:
        place = np.array(scene.anchors[f"{figure.name}.face"].position)
        return target_at(
            scene, f"{figure.name}.face", place, figure, towards=towards, clear=HEAD * figure.height + clear
        )

    faces = [of_figure(figure) for figure in scene.cast]
    mark = _mark(scene, options.mark, towards, faces)
    # The mark's own face is told first.
    faces.sort(key=lambda face: face.name != mark.name)
    return Around(
        scene,
        ready.world,
        ready.stage.solid.rays,
        _watchers(script, scene, ready, options.look),
        mark,
        tuple(faces),
        radians(options.azimuth_deg) % (2.0 * pi),
        radians(options.elevation_deg),
    )


def _mark(scene: Scene, name: str | None, towards: Floats, faces: list[Target]) -> Target:
    """What lamps are aimed at and the light is read at."""
    marks = {one.name: one for one in receptors(scene)}
    if name is None and marks:
        of_faces = [one.name for one in marks.values() if one.on is not None]
        name = (of_faces or list(marks))[0]
    if name is None:
        at = scene.point(scene.camera.aim)
        return Target("what the camera aims at", at, at + HELD_OFF * towards)
    for face in faces:
        if name in (face.name, face.owner, f"{face.owner}.eyes"):
            return face
    if name in marks:
        place = marks[name].position - HELD_OFF * marks[name].facing
        return Target(name, place, place + HELD_OFF * towards)
    if name in scene.anchors:
        place = receptor_at(scene, Mark(name=name)).position
        return Target(name, np.array(scene.anchors[name].position), place)
    near = did_you_mean(name, (*marks, *scene.anchors))
    raise UserError(f'no mark, figure or place "{name}"' + (f'; did you mean "{near}"?' if near else ""))


def _watchers(script: Script, scene: Scene, ready: Ready, look: str | None) -> tuple[Watcher, ...]:
    """Every setup's camera; its own set where a setup moves anything of it."""
    found = []
    for setup in script.setups:
        other = script.scene(setup=setup, look=look)
        world, rays = ready.world, ready.stage.solid.rays
        if (other.set, other.cast) != (scene.set, scene.cast):
            solid = stage_of(assemble(other), ()).solid
            world, rays = solid.world, solid.rays
        found.append(Watcher(setup, view_of(other), world, rays))
    return tuple(found)
