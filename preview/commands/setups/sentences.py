"""Setups sentences: what does not cut together, and what does."""

from __future__ import annotations

from collections.abc import Iterator

from preview.commands.lenses.names import named
from preview.commands.setups.command import Compared
from preview.commands.setups.drift_words import (
    drift_sentences,
    holds_sentences,
    lost_sentences,
    meant_sentences,
    stops_words,
)
from preview.commands.setups.in_picture import in_shot
from preview.commands.setups.screen_direction import line_sentences, setups_words, walk_sentences
from preview.commands.setups.seen import SetupSeen
from preview.script.words import listed_all

ONE_CAMERA = (
    "The script has one camera, so there is nothing to cut to. A setup is another one, with what moves for it: "
    "setups: {tight: {camera: {lens: {focal: 85 mm}}}}."
)


def breaks(found: Compared) -> Iterator[str]:
    """What a supervisor calls out: a line that is crossed, a change that nobody explains, light that drifts."""
    watched = [one.watched for one in found.seen]
    for line in found.lines:
        yield from line_sentences(line, watched) if line.across else ()
    for walk in found.walks:
        yield from walk_sentences(walk) if walk.turns else ()
    yield from _unexplained(found)
    yield from lost_sentences(found.rows, found.seen)
    yield from drift_sentences(found.rows, found.seen, found.tolerance)


def rest(found: Compared) -> Iterator[str]:
    """What holds, and what is to be known of the comparison."""
    seen = found.seen
    if len(seen) == 1:
        yield ONE_CAMERA
        return
    compared = [row for rows in found.rows.values() for row in rows if row.differences]
    if not found.rows:
        yield "The script has no cast: there is no face whose light could be held from setup to setup."
    elif not compared:
        yield "Nobody is in frame in two of these setups, so no light is held against another."
    elif not any(row.drifting or row.lost or row.meant for rows in found.rows.values() for row in rows):
        who = listed_all(list(dict.fromkeys(row.figure for row in compared)))
        yield f"The light on {who} holds in all of these setups, within the tolerances below."
    else:
        yield from holds_sentences(found.rows)
    yield from meant_sentences(found.rows, seen)
    if not any(in_shot(one) for one in seen):
        yield "Nothing of the rig is in shot in any of them."
    yield from _exposures(found)
    yield from _alone(found)
    yield from _airs(found)
    yield from _moons(found)
    watched = [one.watched for one in seen]
    for line in found.lines:
        yield from () if line.across else line_sentences(line, watched)
    for walk in found.walks:
        yield from () if walk.turns else walk_sentences(walk)
    if len(found.rows) == 1:
        yield "With one figure there is no line of action to keep to."
    elif found.rows and not found.lines:
        yield "Nobody in frame looks at anybody, so there is no line of action to keep to."


def _exposures(found: Compared) -> Iterator[str]:
    """Setups that are exposed otherwise than the widest, those alike together."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in found.seen[1:]:
        over = found.exposed_over(one)
        if abs(over) >= 0.05:
            words = f"{stops_words(over)} {'more' if over > 0.0 else 'less'}"
            alike.setdefault((words, _settings(one)), []).append(one.name)
    first = found.seen[0]
    for (words, settings), names in alike.items():
        verb = "is" if len(names) == 1 else "are"
        yield (
            f"{setups_words(names)} {verb} exposed {words} than {first.name} ({settings} for {_settings(first)}); "
            "levels are compared as exposed."
        )


def _settings(one: SetupSeen) -> str:
    camera = one.ready.scene.camera
    return f"T/{camera.lens.stop:g} at ISO {camera.iso:g}"


def _alone(found: Compared) -> Iterator[str]:
    """Figures that are seen in one setup alone, or in none."""
    alone: dict[str, list[str]] = {}
    for name in found.rows:
        where = [one.name for one in found.seen if one.lit[name].in_frame]
        if len(where) < 2:
            alone.setdefault(where[0] if where else "", []).append(name)
    for setup, names in alone.items():
        verb = "is" if len(names) == 1 else "are"
        where_words = f"in {setup} alone: nothing to hold" if setup else "in none of these setups"
        yield f"{listed_all(names)} {verb} in frame {where_words}."


def _airs(found: Compared) -> Iterator[str]:
    hazy = [one.name for one in found.seen if one.ready.haze is not None]
    if hazy and len(hazy) < len(found.seen):
        clear = [one.name for one in found.seen if one.name not in hazy]
        yield (
            f"{setups_words(hazy)} {'is' if len(hazy) == 1 else 'are'} in haze, "
            f"{setups_words(clear, within=True)} in clear air: "
            "what is far off is lifted in the one and not in the other."
        )


def _unexplained(found: Compared) -> Iterator[str]:
    for effect in found.effects:
        cheat = effect.cheat
        if cheat.reason is None:
            what = ", ".join(cheat.changes)
            yield f"{setups_words([cheat.setup])} changes {named(cheat.name)} without a reason: {what}."


def _moons(found: Compared) -> Iterator[str]:
    """Lights that play the moon and change their side of the frame while they stay where they are."""
    told: dict[tuple[str, str], list[str]] = {}
    for name, rows in found.rows.items():
        for row in rows:
            if row.kind != "azimuth" or row.reference is None:
                continue
            fixture = row.fixture
            sides = {one.name: _side(one, name, fixture) for one in found.seen}
            first = sides[row.reference]
            for setup in row.differences:
                if (
                    setup not in (*row.drifting, *row.meant)
                    and sides[setup]
                    and first
                    and sides[setup] != first
                ):
                    words = (
                        f"In {setup} {named(fixture)} comes from {sides[setup]}, in {row.reference} from {first}: "
                        "rightly, for the camera has gone round and the light has not"
                    )
                    told.setdefault((setup, words), []).append(name)
    for (_, words), names in told.items():
        yield f"{words} (on {listed_all(names)})."


def _side(one: SetupSeen, figure: str, fixture: str) -> str | None:
    lit = one.lit[figure]
    return next((source.way.camera_side for source in lit.moons if source.fixture == fixture), None)
