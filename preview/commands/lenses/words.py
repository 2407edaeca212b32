"""Lens words: what the lenses show against one another, in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from preview.camera.in_shot import Sighting
from preview.commands.lenses.figures import Measured, Practical
from preview.commands.lenses.trials import Trials
from preview.script.words import listed_all

LEAST: Final = 0.02
"""Share of the frame by which darkness must differ between two lenses to be worth a word."""
OFTEN: Final = 0.02
"""Share of a lamp's pixels from which it is said to clip."""
WHOLE: Final = 0.5
"""Share from which all of it does."""


def owner_and_part(name: str) -> tuple[str, str]:
    """Of `lane edge.stand`: lane edge, stand; of `ground, west edge`: ground, west edge."""
    for mark in (", ", "."):
        owner, found, part = name.rpartition(mark)
        if found:
            return owner, part
    return name, ""


def called(names: Sequence[str]) -> str:
    """`the stand and cloth of lane edge and the west edge of ground`: what belongs together once."""
    parts: dict[str, list[str]] = {}
    for name in names:
        owner, part = owner_and_part(name)
        parts.setdefault(owner, []).append(part)
    return listed_all(
        [f"the {listed_all(found)} of {owner}" if all(found) else owner for owner, found in parts.items()]
    )


def span(names: Sequence[str], every: Sequence[str], *, formats: bool) -> str:
    """Which of the lenses, from the widest to the tightest: `From 35 mm down`, `At 21 and 85 mm`, `With every lens`."""
    kind = "format" if formats else "lens"
    if len(every) == 1:
        return f"{'On' if formats else 'At'} {names[0]}"
    if len(names) == len(every):
        return f"On every {kind}" if formats else f"With every {kind}"
    if formats:
        return f"On {listed_all([name.partition(', ')[0] for name in names])}"
    if len(names) > 1 and list(names) == list(every[: len(names)]):
        return f"From {names[-1]} down"
    if len(names) > 1 and list(names) == list(every[-len(names) :]):
        return f"From {names[0]} up"
    return f"At {_short(names)}"


def practical_words(one: Practical) -> str:
    """`porch bulb, clips`."""
    if not one.lit:
        return f"{one.name} (off)"
    if one.clips is None or one.clips < OFTEN:
        return one.name
    return f"{one.name} {'clips' if one.clips >= WHOLE else 'clips in part'}"


def headlines(trials: Trials, made: Sequence[Measured]) -> list[str]:
    """What there is to know first: what of the rig comes into shot and what clears it, heads in the lens, what is dark."""
    if not made:
        return []
    names = [one.trial.name for one in made]
    told = [*_in_shot(trials, made, names), *_flares(trials, made, names)]
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
        lamps.setdefault(where, []).append(name)
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


def _in_shot(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    """A sentence for each fixture, and for each piece whose edge shows."""
    where: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for thing in dict.fromkeys(sighting.name for one in made for sighting in one.in_shot):
        seen = tuple(one.trial.name for one in made if thing in {s.name for s in one.in_shot})
        where.setdefault((owner_and_part(thing)[0], seen), []).append(thing)
    told = []
    # First what is seen by most lenses, so by the tightest.
    for (_, seen), things in sorted(where.items(), key=lambda found: -len(found[0][1])):
        shots = [one for one in made if one.trial.name in seen]
        first = {s.name: s for s in shots[-1].in_shot}
        verb = "are" if len(things) > 1 else "is"
        place = f", {first[things[0]].where}" if len(things) == 1 and first[things[0]].where else ""
        told.append(
            f"{span(seen, names, formats=trials.formats)} {called(things)} {verb} in shot{place}{_cleared(things, shots)}."
        )
    return told


def _cleared(things: Sequence[str], shots: Sequence[Measured]) -> str:
    """What takes them out of the tightest frame that has them, and of the widest."""
    ends = [shots[-1], *shots[: len(shots) > 1]]
    ways = [_way_out([s for s in one.in_shot if s.name in things]) for one in ends]
    if not all(ways):
        return ""
    if len(set(ways)) == 1:
        return f"; to clear: {ways[0]}"
    return f"; to clear: {', '.join(f'{way} {one.trial.where}' for way, one in zip(ways, ends, strict=True))}"


def _way_out(here: Sequence[Sighting]) -> str:
    """What takes things that belong together out of a frame; of each way the longest; empty where there is none."""
    if any(one.clears is None for one in here):
        return "hide it or build on, no turn under 45° does it" if any(s.kind == "edge" for s in here) else ""
    ways: dict[str, tuple[float, str, str]] = {}
    for one in here:
        assert one.clears is not None
        found = (one.clears.amount, one.clears.words, _part(one))
        ways[one.clears.direction] = max(found, ways.get(one.clears.direction, found))
    return listed_all(
        [f"{words} ({part})" if len(ways) > 1 else words for _, words, part in sorted(ways.values())]
    )


def _part(sighting: Sighting) -> str:
    return owner_and_part(sighting.name)[1]


def _flares(trials: Trials, made: Sequence[Measured], names: Sequence[str]) -> list[str]:
    told = []
    for head in dict.fromkeys(sighting.name for one in made for sighting in one.flares):
        seen = [one for one in made if head in {s.name for s in one.flares}]
        where = span([one.trial.name for one in seen], names, formats=trials.formats)
        owner, _ = owner_and_part(head)
        out = all(
            s.shines is not None and not s.shines.in_frame
            for one in seen
            for s in one.flares
            if s.name == head
        )
        told.append(
            f"{where} {owner} shines into the lens{' from out of frame' if out else ''}: expect flare, or flag it."
        )
    return told


def _dark(made: Sequence[Measured]) -> list[str]:
    wide, tight = made[0], made[-1]
    told = []
    if len(made) > 1 and abs(wide.under - tight.under) >= LEAST:
        told.append(
            f"Under the noise floor lies {percent(wide.under)} of the frame {wide.trial.where}, "
            f"{percent(tight.under)} {tight.trial.where}."
        )
    worst = max(made, key=lambda one: (one.ground_under or 0.0) * one.ground)
    if (worst.ground_under or 0.0) * worst.ground >= LEAST:
        share = worst.ground_under or 0.0
        told.append(
            f"{_capital(worst.trial.where)} {percent(share)} of the ground in frame is unlit: that is "
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
        f"{wide.blur.at} stands {ratio:.1f} times as large behind {figure} {near.trial.where} as {far.trial.where}."
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
    where = "far off" if far else f"at {wide.blur.at}"
    return [
        f"A small lamp {where} is {disc_words(wide)} {wide.trial.where}, {disc_words(tight)} {tight.trial.where}."
    ]


def disc_words(one: Measured) -> str:
    """`a point`, `a disc 1/50 of the frame wide`, with an anamorphic an oval."""
    if one.blur.sharp:
        return "a sharp point"
    shape = "a disc" if one.trial.camera.lens.squeeze == 1.0 else "an oval"
    return f"{shape} {fraction(one.blur.share)} of the frame wide"


def fraction(share: float) -> str:
    """`1/50`, round; of what is large, `0.3`."""
    if share <= 0.0:
        return "0"
    parts = 1.0 / share
    if parts < 2.5:
        return f"{share:.1f}"
    step = 1 if parts < 20 else 5 if parts < 100 else 10 if parts < 1000 else 100
    return f"1/{step * round(parts / step)}"


def percent(share: float) -> str:
    """`31 %`, `under 1 %`, `none`."""
    if share <= 0.0:
        return "none"
    return "under 1 %" if share < 0.01 else f"{100.0 * share:.0f} %"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _short(names: Sequence[str]) -> str:
    """`21, 35 and 85 mm`."""
    return listed_all([name.removesuffix(" mm") for name in names[:-1]] + [names[-1]])
