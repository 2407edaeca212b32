"""Lenses: what a wide lens shows against a tight one: from one place, with a figure at one size, on several formats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, replace
from typing import Any

from preview.camera.coverage import image_circle, to_json
from preview.camera.framing import frame_size, view_of
from preview.commands.lenses.drawings import drawings
from preview.commands.lenses.edges import eyes_in_frame
from preview.commands.lenses.figures import (
    Background,
    Measured,
    background_of,
    main_figure,
    measured,
)
from preview.commands.lenses.ladder import LensOptions
from preview.commands.lenses.moves import crowded, hidden
from preview.commands.lenses.names import called, named, owner_and_part, percent
from preview.commands.lenses.tables import figures_table, focus_table, formats_table, rig_table
from preview.commands.lenses.trials import Trial, Trials, format_name, trials_of
from preview.commands.lenses.words import (
    behind_ratio,
    comes_in,
    comparisons,
    disc_words,
    figure_words,
    headlines,
    lamps_words,
)
from preview.commands.prepare import Ready, prepare, same_set
from preview.commands.shot import Shot, shot
from preview.script.models.cast import Figure
from preview.script.scene import Scene
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Words
from preview.trace.store import AnyStore

MOST_FIGURES = 3
"""Figures whose shot sizes stand below each picture; of more there is a table."""


def lenses(
    scene: Scene,
    options: LensOptions,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Answer:
    """The lenses or formats of `options` compared in a scene.

    The set is built once for all of them; each is a view of its own and traced. Raises UserError for options that do not go
    together, a figure that is not there or not seen, and a set that cannot be built.
    """
    trials = trials_of(scene, options)
    trials, made, ready = _made(trials, options, store, progress)
    blocks: list[Block] = []
    first = headlines(trials, made)
    refused = [f"{trial.name}: {trial.refused}" for trial in trials.each if trial.refused is not None]
    if first or refused:
        blocks.append(Words((*first, *refused)))
    blocks.append(Pictures(tuple(_cell(trials, trial, made) for trial in trials.each), columns=2))
    blocks += drawings(trials, made, ready)
    if trials.formats:
        blocks.append(formats_table(trials))
    if made:
        rig = rig_table(made)
        blocks += [rig] if rig is not None else []
        sizes = figures_table(made) if len(scene.cast) > MOST_FIGURES else None
        blocks += [sizes] if sizes is not None else []
        blocks.append(focus_table(trials, made))
    blocks.append(
        Words((*comparisons(trials, made, _figure(trials, made)), *_limits(trials)), "Side by side")
    )
    return Answer(
        "lenses", f"{scene.title}: {_what(trials)}", _about(trials), tuple(blocks), _data(trials, made)
    )


def _made(
    trials: Trials, options: LensOptions, store: AnyStore, progress: Callable[[float], None]
) -> tuple[Trials, list[Measured], Ready | None]:
    """The trials as they turned out, those that have a picture, and the set that they share."""
    first = trials.reference
    if first is None:
        return trials, [], None
    progress(0.0)
    ready = prepare(first.scene, store=store)
    each = [_with_room(trial, trials.figure, ready) for trial in trials.each]
    trials = replace(trials, each=tuple(each))
    order = sorted(
        (trial for trial in trials.each if trial.refused is None),
        key=lambda trial: trial is not trials.reference,
    )
    found: dict[str, Measured] = {}
    waiting: list[Shot] = []
    background: Background | None = None
    for number, trial in enumerate(order):
        one = shot(
            same_set(ready, trial.scene),
            store=store,
            width=options.across,
            seed=options.seed,
            progress=lambda share, number=number: progress((number + share) / len(order)),  # type: ignore[misc]
        )
        waiting.append(one)
        behind = background_of(waiting)
        if behind.place is None and background is None and number + 1 < len(order):
            continue
        background = background or behind
        for late, traced in zip(order[number + 1 - len(waiting) :], waiting, strict=False):
            found[late.name] = measured(late, traced, background)
        waiting = []
    store.settle()
    return trials, [found[trial.name] for trial in trials.each if trial.name in found], ready


def _with_room(trial: Trial, held: Figure | None, ready: Ready) -> Trial:
    """With the reason where what is built leaves the camera that moved no room, or no sight of the figure it holds."""
    if trial.refused is not None or trial.nearer_m == 0.0:
        return trial
    world, rays = ready.world, ready.stage.solid.rays
    refused = crowded(view_of(trial.scene).position, world, rays)
    if refused is None and held is not None:
        refused = hidden(trial.scene, held, world, rays)
    return replace(trial, refused=refused)


def _cell(trials: Trials, trial: Trial, made: list[Measured]) -> Cell:
    name = f"{trial.name}, as in the script" if trial.own else trial.name
    one = next((each for each in made if each.trial.name == trial.name), None)
    if one is None:
        return Cell(name, None, (), (trial.refused or "No picture.",))
    reference = next(
        (m for m in made if trials.reference is not None and m.trial.name == trials.reference.name), None
    )
    return Cell(name, one.picture, tuple(_figures(trials, one, made)), tuple(_sentences(one, reference)))


def _figures(trials: Trials, one: Measured, made: list[Measured]) -> list[tuple[str, str]]:
    coverage, trial = one.coverage, one.trial
    a, focus = coverage.frame_angles, coverage.focus
    rows = [("sees", f"{a.horizontal_deg:.1f}° × {a.vertical_deg:.1f}°, diagonal {a.diagonal_deg:.1f}°")]
    main = _figure(trials, made)
    subject = next((s for s in coverage.figures if s.name == main), None)
    if trials.figure is not None and subject is not None:
        moved = (
            ""
            if trial.own
            else f", {abs(trial.nearer_m):.2f} m {'nearer' if trial.nearer_m > 0 else 'farther off'}"
        )
        rows.append(("camera", f"{subject.distance_m:.2f} m from {subject.name}{moved}"))
    shown = coverage.figures if len(coverage.figures) <= MOST_FIGURES else (subject,) if subject else ()
    rows += [(figure.name, figure_words(figure)) for figure in shown]
    if subject is not None and subject.frame_width_m is not None:
        out = "" if eyes_in_frame(subject) else ", face out of it"
        field = f"frame {subject.frame_width_m:.2f} × {subject.frame_height_m:.2f} m{out}"
        rows.append((f"at {subject.name}", field))
    elif focus.distance_m > 0.0:
        width, height = frame_size(one.view, distance=focus.distance_m)
        rows.append(("in focus", f"frame {width:.2f} × {height:.2f} m"))
    far = "infinity" if focus.far_m is None else f"{focus.far_m:.2f} m"
    rows.append(("sharp", f"{focus.near_m:.2f} to {far}"))
    rows.append(
        (f"a lamp at {one.blur.at}" if one.blur.distance_m is not None else "a lamp far off", _disc(one))
    )
    if trials.figure is not None:
        rows.append(("behind", _behind(one, made[0])))
    rows.append(("lost", _dark(one)))
    rows.append(("lamps seen", lamps_words(one.practicals)))
    rows.append(
        ("in shot", called([sighting.name for sighting in one.in_shot]) or "nothing of the rig, no edge")
    )
    return rows


def _disc(one: Measured) -> str:
    """`a disc 1/920 of the frame wide, 0.027 mm on the sensor; 11.3 m off`."""
    off = "" if one.blur.distance_m is None else f"; {one.blur.distance_m:.1f} m off"
    size = "" if one.blur.sharp else f", {one.blur.disc_mm:.3f} mm on the sensor"
    return f"{disc_words(one)}{size}{off}"


def _behind(one: Measured, widest: Measured) -> str:
    if one.magnifies is None or widest.magnifies is None:
        return "nothing that is built"
    against = "" if one is widest else f", against {widest.trial.name}"
    return f"{one.blur.at} {behind_ratio(one, widest):.2f} × as large{against}"


def _dark(one: Measured) -> str:
    ground = (
        "no ground in frame" if one.ground_under is None else f"{percent(one.ground_under)} of the ground"
    )
    return f"{percent(one.under)} of the frame, {ground}"


def _sentences(one: Measured, reference: Measured | None) -> list[str]:
    fresh = comes_in(one, reference)
    told = [fresh] if fresh else []
    for head in one.flares:
        assert head.shines is not None
        told.append(f"The head {named(owner_and_part(head.name)[0])} {head.shines.words}.")
    circle = image_circle(one.trial.camera)
    if circle is not None and circle.format_margin_mm < 0.0:
        told.append(f"The lens's circle of {circle.stated_mm:.1f} mm {circle.words}.")
    told += [
        f"{figure.name}'s face is behind {named(owner_and_part(figure.hidden_by)[0])}."
        for figure in one.coverage.figures
        if figure.hidden_by is not None and figure.in_frame
    ]
    return told


def _figure(trials: Trials, made: list[Measured]) -> str | None:
    """The figure that distances and fields are told of."""
    own = next((one for one in made if one.trial.own), None)
    return main_figure(made, own, trials.figure.name if trials.figure else None)


def _what(trials: Trials) -> str:
    if trials.formats:
        return "formats"
    return (
        f"lenses, {trials.figure.name} at one size" if trials.figure is not None else "lenses from one place"
    )


def _about(trials: Trials) -> str:
    """Setup, look, the script's lens, and the format that the lenses are on."""
    scene, camera = trials.scene, trials.scene.camera
    look = f", look {scene.look}" if scene.look else ""
    on = format_name(camera if trials.formats else trials.each[0].camera)
    squeeze = f", {camera.lens.squeeze:g}x squeeze" if camera.lens.squeeze != 1.0 else ""
    lens = f"{camera.lens.focal:g} mm at T{camera.lens.stop:g}, ISO {camera.iso:g}"
    return f"Setup {scene.setup}{look}: {lens}, on {on}{squeeze}"


def _limits(trials: Trials) -> list[str]:
    told = [
        "Angles are those of a lens focused far off that draws straight lines straight; a true one breathes as it is "
        "focused, and a true wide bends lines at its edges. Every lens is given the script's stop, glare and blades.",
        f"Lost is what lies under the noise floor, {trials.scene.camera.latitude.under:g} stops under grey.",
    ]
    if trials.formats and not trials.match:
        told.append(
            "The lens keeps its fall-off and its circle on every format, so a smaller one sees only its middle."
        )
    return told


def _data(trials: Trials, made: list[Measured]) -> dict[str, Any]:
    found = {one.trial.name: one for one in made}
    return {
        "title": trials.scene.title,
        "setup": trials.scene.setup,
        "look": trials.scene.look,
        "holds": trials.figure.name if trials.figure is not None else None,
        "compared_with": trials.reference.name if trials.reference is not None else None,
        "lenses": [_row(trial, found.get(trial.name)) for trial in trials.each],
    }


def _row(trial: Trial, one: Measured | None) -> dict[str, Any]:
    row: dict[str, Any] = {
        "name": trial.name,
        "format": format_name(trial.camera),
        "focal_mm": trial.camera.lens.focal,
        "stop": trial.camera.lens.stop,
        "own": trial.own,
        "camera_at_m": view_of(trial.scene).position.tolist(),
        "camera_nearer_m": trial.nearer_m,
        "no_picture": trial.refused,
        "equivalent": asdict(trial.equal),
    }
    if one is not None:
        row |= {
            "under_floor_share": one.under,
            "ground_share": one.ground,
            "ground_under_floor_share": one.ground_under,
            "background": asdict(one.blur),
            "background_magnification": one.magnifies,
            "practicals": [asdict(lamp) for lamp in one.practicals],
            "edges_shown": [edge.name for edge in one.edges.seen],
            "edges_not_made_out": list(one.edges.dim),
            "horizon": list(one.edges.horizon),
            "coverage": to_json(one.coverage),
        }
    return row
