"""Lens words: what the lenses show against one another, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from preview.camera.coverage import Subject
from preview.camera.in_shot import Sighting
from preview.commands.in_focus import in_focus
from preview.commands.lenses.edges import eyes_in_frame
from preview.commands.lenses.figures import Measured, Practical
from preview.commands.lenses.names import called, capital, fraction, named, owner_and_part, percent, span
from preview.commands.lenses.trials import Trials
from preview.script.words import listed_all
from preview.sheets.coverage_text import subject_notes

LEAST: Final = 0.02
"""Share of the frame by which darkness must differ between two lenses to be worth a word."""
OFTEN: Final = 0.02
"""Share of a lamp from which it is said to clip."""
WHOLE: Final = 0.5
"""Share from which all of it does."""
CLIP, IN_PART = ("clips", "clip"), ("clips in part", "clip in part")
HOLD, OFF = ("holds", "hold"), ("is off", "are off")
"""What is said of one lamp, and of several."""


def lamps_words(lamps: Sequence[Practical]) -> str:
    """`porch bulb and moon clip; room lamp clips in part; bedroom window holds`."""
    groups: dict[tuple[str, str], list[str]] = {}
    for one in lamps:
        groups.setdefault(_how(one), []).append(one.name)
    told = [
        f"{listed_all(groups[how])} {how[len(groups[how]) > 1]}"
        for how in (CLIP, IN_PART, HOLD, OFF)
        if how in groups
    ]
    return "; ".join(told) or "none"


def _how(one: Practical) -> tuple[str, str]:
    if not one.lit:
        return OFF
    return HOLD if one.clips < OFTEN else IN_PART if one.clips < WHOLE else CLIP


def figure_words(figure: Subject) -> str:
    """`medium shot, soft`; of somebody whose face is not in the picture, where the eyes are: `eyes out of frame right`."""
    if figure.at is None or figure.shot_size is not None or eyes_in_frame(figure):
        return subject_notes(figure)
    u, v = figure.at
    out = {"left": -u, "right": u - 1.0, "above": -v, "below": v - 1.0}
    side = max(out, key=lambda one: out[one])
    return f"{'eyes ' if figure.in_frame else ''}out of frame {side}"


def headlines(trials: Trials, made: Sequence[Measured]) -> list[str]:
    """What there is to know first: a focus on nobody in frame, what of the rig comes into shot and what clears it, heads in
    the lens, where the set ends, what is lost in the dark."""
    if not made:
        return []
    names = [one.trial.name for one in made]
    told = [*_focus(trials, made, names), *_rig_in_shot(trials, made, names), *_flares(trials, made, names)]
    told += _edges(trials, made, names)
    clean = [one.trial.name for one in made if not one.in_shot and not one.flares]
    if len(clean) == len(made):
        told.append("Nothing of the rig and no edge of the set is in shot with any of them.")
    elif clean:
        told.append(
            f"{span(clean, names, formats=trials.formats)} nothing of the rig and no edge of the set is in shot."
        )
    return [*told, *_dark(made)]


def comparisons(trials: Trials, made: Sequence[Measured], figure: str | None) -> list[str]:
    """Perspective, blur and lamps, from the widest to the tightest."""
    if not made:
        return []
    told = [*_perspective(trials, made, figure), *_blur(made)]
    names = [one.trial.name for one in made]
    lamps: dict[tuple[str, ...], list[str]] = {}
    for name in dict.fromkeys(lamp.name for one in made for lamp in one.practicals):
        where = tuple(one.trial.name for one in made if name in {lamp.name for lamp in one.practicals})
        lamps.setdefault(where, []).append(named(name))
    for where, shown in lamps.items():
        verb = "show" if len(shown) > 1 else "shows"
        told.append(f"{span(where, names, formats=trials.formats)} {listed_all(shown)} {verb} in frame.")
    return told


def comes_in(one: Measured, reference: Measured | None) -> str:
    """What is in shot and was not in the one that it is compared with, as a sentence; empty where nothing is."""
    if reference is None or one is reference:
        return ""
    before = {sighting.name for sighting in reference.in_shot}
    fresh = [sighting.name for sighting in one.in_shot if sighting.name not in before]
    return f"Not {reference.trial.where}, but here: {called(fresh)}." if fresh else ""


def _focus(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    name = in_focus(trials.scene)
    out = [
        one.trial.name
        for one in made
        if any(figure.name == name and not eyes_in_frame(figure) for figure in one.coverage.figures)
    ]
    if name is None or not out:
        return []
    return [f"{span(out, names, formats=trials.formats)} the focus is on {name}, whose face is out of frame."]


def _rig_in_shot(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    """A sentence for each fixture."""
    where: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for thing in dict.fromkeys(sighting.name for one in made for sighting in one.rig_in_shot):
        seen = tuple(one.trial.name for one in made if thing in {s.name for s in one.rig_in_shot})
        where.setdefault((owner_and_part(thing)[0], seen), []).append(thing)
    told = []
    # First what is seen by most lenses, so by the tightest.
    for (_, seen), things in sorted(where.items(), key=lambda found: -len(found[0][1])):
        shots = [one for one in made if one.trial.name in seen]
        first = {s.name: s for s in shots[-1].rig_in_shot}
        verb = "are" if len(things) > 1 else "is"
        place = f", {first[things[0]].where}" if len(things) == 1 and first[things[0]].where else ""
        told.append(
            f"{span(seen, names, formats=trials.formats)} {called(things)} {verb} in shot{place}{_cleared(things, shots)}."
        )
    return told


def _cleared(things: Sequence[str], shots: Sequence[Measured]) -> str:
    """What takes them out of the tightest frame that has them, and of the widest."""
    ends = [shots[-1], *shots[: len(shots) > 1]]
    ways = [_way_out([s for s in one.rig_in_shot if s.name in things]) for one in ends]
    if not all(ways):
        return ""
    if len(set(ways)) == 1:
        return f"; to clear: {ways[0]}"
    return f"; to clear: {', '.join(f'{way} {one.trial.where}' for way, one in zip(ways, ends, strict=True))}"


def _way_out(here: Sequence[Sighting]) -> str:
    """What takes things that belong together out of a frame; of each way the longest; empty where there is none."""
    ways: dict[str, tuple[float, str, str]] = {}
    for one in here:
        if one.clears is None:
            return ""
        found = (one.clears.amount, one.clears.words, owner_and_part(one.name)[1])
        ways[one.clears.direction] = max(found, ways.get(one.clears.direction, found))
    return listed_all(
        [f"{words} ({part})" if len(ways) > 1 else words for _, words, part in sorted(ways.values())]
    )


def _flares(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    told = []
    for head in dict.fromkeys(sighting.name for one in made for sighting in one.flares):
        seen = [one for one in made if head in {s.name for s in one.flares}]
        where = span([one.trial.name for one in seen], names, formats=trials.formats)
        out = all(
            s.shines is not None and not s.shines.in_frame
            for one in seen
            for s in one.flares
            if s.name == head
        )
        told.append(
            f"{where} the head {named(owner_and_part(head)[0])} shines into the lens{' from out of frame' if out else ''}: "
            "expect flare, or flag it."
        )
    return told


def _edges(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    """Where the set visibly ends, a sentence for each choice of lenses."""
    where: dict[tuple[str, ...], list[str]] = {}
    for edge in dict.fromkeys(sighting.name for one in made for sighting in one.edges.seen):
        seen = tuple(one.trial.name for one in made if edge in {s.name for s in one.edges.seen})
        where.setdefault(seen, []).append(edge)
    told = []
    for seen, edges in sorted(where.items(), key=lambda found: -len(found[0])):
        shots = [one for one in made if one.trial.name in seen]
        turns = [
            f", or {turn} {one.trial.where}"
            for one in (shots[-1], *shots[: len(shots) > 1])
            if (turn := _turn([s for s in one.edges.seen if s.name in edges]))
        ]
        told.append(
            f"{span(seen, names, formats=trials.formats)} the set ends in frame, at {called(edges)}: hide that or "
            f"build on{''.join(turns)}."
        )
    return told


def _turn(edges: Sequence[Sighting]) -> str:
    """The one turn that clears them all; empty where there is none, or it would lose somebody."""
    clears = [edge.clears for edge in edges]
    if any(turn is None for turn in clears) or len({turn.direction for turn in clears if turn}) != 1:
        return ""
    return max((turn.amount, turn.words) for turn in clears if turn is not None)[1]


def _dark(made: Sequence[Measured]) -> list[str]:
    wide, tight = made[0], made[-1]
    told = []
    if len(made) > 1 and abs(wide.under - tight.under) >= LEAST:
        told.append(
            f"{capital(percent(wide.under))} of the frame is lost in the dark {wide.trial.where}, "
            f"{percent(tight.under)} {tight.trial.where}."
        )
    worst = max(made, key=lambda one: (one.ground_under or 0.0) * one.ground)
    if (worst.ground_under or 0.0) * worst.ground >= LEAST:
        share = worst.ground_under or 0.0
        told.append(
            f"{capital(worst.trial.where)} {percent(share)} of the ground in frame is lost: that is "
            f"{percent(share * worst.ground)} of the frame."
        )
    return told


def _perspective(trials: Trials, made: Sequence[Measured], figure: str | None) -> list[str]:
    if trials.figure is None:
        same = "one field" if trials.match else "tighter ones are the middle of wider ones"
        return [f"The camera stays, so perspective is the same in all: {same}."]
    wide, tight = made[0], made[-1]
    if len(made) < 2 or wide.magnifies is None or tight.magnifies is None or figure is None:
        return []
    ratio = behind_ratio(tight, wide)
    near, far = (tight, wide) if ratio >= 1.0 else (wide, tight)
    ratio = max(ratio, 1.0 / ratio)
    return [
        f"{named(wide.blur.at)} stands {ratio:.1f} times as large behind {figure} {near.trial.where} as "
        f"{far.trial.where}."
    ]


def behind_ratio(one: Measured, other: Measured) -> float:
    """How many times larger than in `other` the background is in frame, where the figure is as large."""
    assert one.magnifies is not None
    assert other.magnifies is not None
    return (one.magnifies / _frame_mm(one)) / (other.magnifies / _frame_mm(other))


def _frame_mm(one: Measured) -> float:
    return one.coverage.frame_lines.height_mm


def _blur(made: Sequence[Measured]) -> list[str]:
    wide, tight = made[0], made[-1]
    if len(made) < 2:
        return []
    far = wide.blur.at == "infinity"
    where = "far off" if far else f"at {named(wide.blur.at)}"
    return [
        f"A small lamp {where} is {disc_words(wide)} {wide.trial.where}, {disc_words(tight)} {tight.trial.where}."
    ]


def disc_words(one: Measured) -> str:
    """`a disc 1/50 of the frame wide`, with an anamorphic an oval."""
    if one.blur.sharp:
        return "a sharp point"
    shape = "a disc" if one.trial.camera.lens.squeeze == 1.0 else "an oval"
    return f"{shape} {fraction(one.blur.share)} of the frame wide"
