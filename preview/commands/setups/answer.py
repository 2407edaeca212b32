"""Setups answer: what was found of the setups of a script, as pictures, sentences, tables and data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from preview.commands.setups.cheats import Cheat
from preview.commands.setups.command import Compared
from preview.commands.setups.continuity import Row, Verdict
from preview.commands.setups.data import data_of
from preview.commands.setups.drawing import plan_of
from preview.commands.setups.drift_words import drift_sentences, holds_sentences, stops_words
from preview.commands.setups.screen_direction import line_sentences, look_of, walk_sentences
from preview.commands.setups.seen import SetupSeen
from preview.script.models.camera import Camera, Sensor
from preview.script.words import listed_all
from preview.sheets.answer.blocks import Answer, Block, Cell, Pictures, Table, Words
from preview.sheets.answer.words import signed
from preview.sheets.drawing import Align

VERDICTS: dict[Verdict, str] = {"holds": "✓ holds", "drifts": "▲ drifts", "not compared": "– not compared"}
"""With a shape of its own beside each word."""
ONE_CAMERA = (
    "The script has one camera, so there is nothing to cut to. A setup is another one, with what moves for it: "
    "setups: {tight: {camera: {lens: {focal: 85 mm}}}}."
)
FEW = 4
"""Setups that lie in two columns."""


def answer_of(found: Compared) -> Answer:
    """The sheet: pictures, what holds and what does not, each figure's light, cheats, who looks where."""
    seen = found.seen
    names = ", ".join(one.name for one in seen)
    about = f"{len(seen)} setups, wide to tight: {names}" if len(seen) > 1 else f"one setup: {names}"
    if found.look is not None:
        about += f"; look {found.look}"
    blocks: list[Block] = [
        Pictures(tuple(_cell(found, one) for one in seen), columns=2 if len(seen) <= FEW else 3),
    ]
    for title, sentences in (("Does not cut together", _breaks(found)), ("In the cut", _rest(found))):
        if said := tuple(sentences):
            blocks.append(Words(said, title))
    if len(seen) > 1:
        blocks += _tables(found)
    blocks += _cheat_table(found)
    blocks += _looks(found)
    if len(seen) > 1 and found.rows:
        blocks.append(plan_of(found))
    return Answer("setups", f"{found.title}: setups", about, tuple(blocks), data_of(found))


def _cell(found: Compared, one: SetupSeen) -> Cell:
    camera = one.ready.scene.camera
    figures = (
        ("lens", lens_words(camera)),
        ("sees", f"{one.angles.horizontal_deg:.0f}° × {one.angles.vertical_deg:.0f}°"),
        ("takes in", f"{one.wide_m:.1f} m across at {one.focus_m:.1f} m"),
        ("exposed", _exposed(found, one)),
        ("shot", "; ".join(_shots(one)) or "nobody of the cast"),
    )
    said = []
    for effect in found.effects:
        cheat = effect.cheat
        if cheat.setup == one.name:
            said.append(_cheated(cheat))
    return Cell(one.name, one.shot.picture, figures, tuple(said))


def lens_words(camera: Camera) -> str:
    """`75 mm, super35-3perf`, with the squeeze of an anamorphic."""
    form = (
        f"{camera.format.width:g} × {camera.format.height:g} mm"
        if isinstance(camera.format, Sensor)
        else camera.format
    )
    squeeze = "" if camera.lens.squeeze == 1.0 else f", {camera.lens.squeeze:g}× squeeze"
    return f"{camera.lens.focal:g} mm{squeeze} on {form}"


def _exposed(found: Compared, one: SetupSeen) -> str:
    camera = one.ready.scene.camera
    words = f"T/{camera.lens.stop:g}, ISO {camera.iso:g}"
    over = found.exposed_over(one)
    return (
        words
        if abs(over) < 0.05
        else f"{words}: {stops_words(over)} {'over' if over > 0.0 else 'under'} {found.seen[0].name}"
    )


def _shots(one: SetupSeen) -> Iterator[str]:
    for name, lit in one.lit.items():
        if lit.subject.in_frame and lit.subject.shot_size is not None:
            why = f", {lit.unseen}" if lit.unseen and lit.in_frame else ""
            yield f"{name} {lit.subject.shot_size}{why}"


def _cheated(cheat: Cheat) -> str:
    """`Cheat, Mara: to clear the post (15 cm camera left).`"""
    changes = ", ".join(cheat.changes) or "nothing is changed"
    if cheat.reason is None:
        return f"{cheat.name}: {changes}: unexplained."
    return f"Cheat, {cheat.name}: {cheat.reason} ({changes})."


def _breaks(found: Compared) -> Iterator[str]:
    """What a supervisor calls out: a line that is crossed, a change that nobody explains, light that drifts."""
    watched = [one.watched for one in found.seen]
    for line in found.lines:
        yield from line_sentences(line, watched) if line.across else ()
    for walk in found.walks:
        yield from walk_sentences(walk) if walk.turns else ()
    yield from _unexplained(found)
    yield from drift_sentences(found.rows, found.seen, found.tolerance)


def _rest(found: Compared) -> Iterator[str]:
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
    elif not any(row.drifting for row in compared):
        who = listed_all(list(dict.fromkeys(row.figure for row in compared)))
        yield f"The light on {who} holds in all of these setups, within the tolerances below."
    else:
        yield from holds_sentences(found.rows)
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
            f"{listed_all(names)} {verb} exposed {words} than {first.name} ({settings} for {_settings(first)}); "
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
            f"{listed_all(hazy)} {'is' if len(hazy) == 1 else 'are'} in haze, {listed_all(clear)} in clear air: "
            "what is far off is lifted in the one and not in the other."
        )


def _unexplained(found: Compared) -> Iterator[str]:
    for effect in found.effects:
        cheat = effect.cheat
        if cheat.reason is None:
            what = ", ".join(cheat.changes)
            yield f"{cheat.setup} changes {cheat.name} without a reason ({what}): unexplained."


def _moons(found: Compared) -> Iterator[str]:
    """Lights that play the moon and change their side of the frame while they stay where they are."""
    told: dict[tuple[str, str], list[str]] = {}
    for name, rows in found.rows.items():
        for row in rows:
            if row.kind != "azimuth" or row.reference is None:
                continue
            fixture = row.measure.rpartition(",")[0]
            sides = {one.name: _side(one, name, fixture) for one in found.seen}
            first = sides[row.reference]
            for setup in row.differences:
                if setup not in row.drifting and sides[setup] and first and sides[setup] != first:
                    words = (
                        f"In {setup} the {fixture} comes from {sides[setup]}, in {row.reference} from {first}: "
                        "rightly, for the camera has gone round and the light has not"
                    )
                    told.setdefault((setup, words), []).append(name)
    for (_, words), names in told.items():
        yield f"{words} (on {listed_all(names)})."


def _side(one: SetupSeen, figure: str, fixture: str) -> str | None:
    lit = one.lit[figure]
    return next((source.way.camera_side for source in lit.moons if source.fixture == fixture), None)


def _tables(found: Compared) -> Iterator[Block]:
    """Each figure's light over the setups that see it."""
    told = False
    for name, rows in found.rows.items():
        shown = [one.name for one in found.seen if one.lit[name].in_frame]
        if len(shown) < 2:
            continue
        lines = [_line(row, shown) for row in rows if any(value.amount is not None for value in row.values)]
        lines += [_moon_line(found, name, fixture, shown) for fixture in _moon_names(rows)]
        heads = (name, *shown, "verdict")
        yield Table(
            f"{name} from setup to setup",
            heads,
            tuple(lines),
            _left(heads),
            "" if told else _how_to_read(found),
        )
        told = True


def _left(heads: Sequence[str]) -> tuple[Align, ...]:
    return tuple("left" for _ in heads)


def _how_to_read(found: Compared) -> str:
    t = found.tolerance
    return (
        "Levels: stops from 18 % grey as each setup is exposed, then lux; in brackets the difference from the widest "
        "that shows the figure. Rim: the brightest edge of hair and shoulders. Behind: the median of all the frame that "
        "is farther off. Other side: a camera more than 45° round sees another edge and another background, which is "
        "not judged. Colour: mireds from the balance, warmer positive. Azimuth: from the figure, clockwise from north. "
        f"Holds within: key {t.key:.2g}, fill {t.fill:.2g}, key to fill {t.ratio:.2g}, rim {t.rim:.2g}, behind "
        f"{t.background:.2g} stop; colour {t.colour:.3g} mired; moon {t.azimuth:.3g}° round, {t.height:.3g}° in height "
        "(common practice; --tolerance sets others)."
    )


def _line(row: Row, shown: Sequence[str]) -> tuple[str, ...]:
    cells = []
    for setup in shown:
        words = row.value(setup).words
        by = row.differences.get(setup, row.apart.get(setup))
        if by is not None:
            past = "▲ " if setup in row.drifting else ""
            unit = "°" if row.unit == "°" else ""
            apart = ", other side" if setup in row.apart else ""
            words += f" ({past}{signed(by, 1 if row.unit == 'stop' else 0)}{unit}{apart})"
        cells.append(words)
    measure = row.measure + (", mired" if row.unit == "mired" else "")
    return (measure, *cells, VERDICTS[row.verdict])


def _moon_names(rows: Sequence[Row]) -> list[str]:
    return [row.measure.rpartition(",")[0] for row in rows if row.kind == "azimuth"]


def _moon_line(found: Compared, figure: str, fixture: str, shown: Sequence[str]) -> tuple[str, ...]:
    """From where in each frame a light that plays the moon comes."""
    cells = []
    for one in found.seen:
        if one.name in shown:
            way = next((each.way for each in one.lit[figure].moons if each.fixture == fixture), None)
            cells.append("off" if way is None else way.short)
    return (f"{fixture}, in frame", *cells, "")


def _cheat_table(found: Compared) -> Iterator[Block]:
    if not found.effects:
        if len(found.seen) > 1:
            yield Words(("No setup moves, adds or takes away anything.",), "Cheats")
        return
    rows = tuple(
        (
            effect.cheat.setup,
            effect.cheat.name,
            ", ".join(effect.cheat.changes) or "nothing",
            effect.cheat.reason or "▲ unexplained",
            effect.words,
        )
        for effect in found.effects
    )
    note = (
        "What each does: the setup read with it and without it, every other cheat left in; stops as exposed. What is under "
        "0.1 stop, 2° and 3 mired is not told."
    )
    heads = ("setup", "what", "is changed", "because", "and does")
    yield Table("Cheats", heads, rows, _left(heads), note)


def _looks(found: Compared) -> Iterator[Block]:
    """Who looks which way across the frame, and who walks."""
    cast = [name for name in found.rows if any(one.lit[name].in_frame for one in found.seen)]
    if len(cast) < 2 and not found.walks:
        return
    rows = []
    for name in cast:
        cells = []
        for one in found.seen:
            scene = one.ready.scene
            figure = next(each for each in scene.cast if each.name == name)
            shown = one.lit[name].in_frame
            cells.append(look_of(scene, one.ready.view, figure).words if shown else "–")
        rows.append((f"{name} looks", *cells))
    for walk in found.walks:
        rows.append((f"{walk.figure} walks", *(walk.ways.get(one.name, "–") for one in found.seen)))
    for line in found.lines:
        first = None if line.first is None else line.sides[line.first]
        cells = [_side_words(line.sides.get(one.name), first) for one in found.seen]
        rows.append((f"line {' to '.join(line.figures)}", *cells))
    heads = ("", *(one.name for one in found.seen))
    note = (
        "Degrees off the lens in plan, to the side of the frame that somebody looks to; over 90° the face is turned away. "
        "Line: through two figures of whom one looks at the other."
    )
    yield Table("Eyelines and screen direction", heads, tuple(rows), _left(heads), note)


def _side_words(side: int | None, first: int | None) -> str:
    if side is None:
        return "–"
    if side == 0:
        return "on the line"
    return "✓ this side" if side == first else "▲ across"
