"""Setups tables: each figure's light from setup to setup, what cheats do, who looks where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from preview.commands.setups.command import Compared
from preview.commands.setups.continuity import Row, Verdict
from preview.commands.setups.screen_direction import look_of
from preview.sheets.answer.blocks import Block, Table, Words
from preview.sheets.answer.words import signed
from preview.sheets.drawing import Align

VERDICTS: dict[Verdict, str] = {
    "holds": "✓ holds",
    "drifts": "▲ drifts",
    "lost": "▲ lost",
    "as meant": "• as meant",
    "not compared": "– not compared",
}
"""With a shape of its own beside each word."""
AS_MEANT = " As meant: past that only through what the cheats below do."


def light_tables(found: Compared) -> Iterator[Block]:
    """Each figure's light over the setups that see it."""
    told = False
    for name, rows in found.rows.items():
        shown = [one.name for one in found.seen if one.lit[name].in_frame]
        if len(shown) < 2:
            continue
        lines = [
            _line(found, row, shown)
            for row in rows
            if _tells(row) and any(value.amount is not None for value in row.values)
        ]
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
    meant = any(row.meant for rows in found.rows.values() for row in rows)
    return (
        "Levels: stops from 18 % grey as each setup is exposed, then lux, and by what; in brackets the difference from the "
        "widest that shows the figure. Key to fill: all the light to all but what comes straight from the key; what of "
        "the key bounces is in key and fill both. Rim: the brightest edge of hair and shoulders. Behind: the median of all "
        "the frame that is farther off. Other side: a camera more than 45° round sees another edge and another "
        "background, which is not judged. Colour: mireds from the balance, warmer positive. Azimuth: from the "
        "figure, clockwise from the plan's north. "
        f"Holds within: key {t.key:.2g}, fill {t.fill:.2g}, key to fill {t.ratio:.2g}, rim {t.rim:.2g}, behind "
        f"{t.background:.2g} stop; colour {t.colour:.3g}, behind {t.background_colour:.3g} mired; moon "
        f"{t.azimuth:.3g}° round, {t.height:.3g}° in height "
        f"(common practice; --tolerance sets others).{AS_MEANT if meant else ''}"
    )


def _line(found: Compared, row: Row, shown: Sequence[str]) -> tuple[str, ...]:
    by_whom = {
        setup: name
        for setup in shown
        if row.value(setup).amount is not None and (name := _from(found, row, setup))
    }
    alike = len(set(by_whom.values())) == 1
    cells = []
    for setup in shown:
        words = row.value(setup).words
        if setup in by_whom and not alike:
            words += f", {by_whom[setup]}"
        if setup in row.differences or setup in row.apart:
            by = row.told(setup)
            past = "▲ " if setup in row.drifting else "• " if setup in row.meant else ""
            unit = "°" if row.unit == "°" else ""
            apart = ", other side" if setup in row.apart else ""
            words += f" ({past}{signed(by, 1 if row.unit == 'stop' else 0)}{unit}{apart})"
        cells.append(words)
    measure = row.measure + (", mired" if row.unit == "mired" else "")
    if alike:
        measure += f", {next(iter(by_whom.values()))}"
    return (measure, *cells, VERDICTS[row.verdict])


def _from(found: Compared, row: Row, setup: str) -> str | None:
    """Which light gives a key or a rim."""
    face = next(one for one in found.seen if one.name == setup).lit[row.figure].face
    if row.kind == "key":
        return None if face.key is None else face.key.key
    return face.rim_by if row.kind == "rim" else None


def _moon_names(rows: Sequence[Row]) -> list[str]:
    return [row.fixture for row in rows if row.kind == "azimuth" and _tells(row)]


def _tells(row: Row) -> bool:
    """A light that plays the moon is worth a row where it is in two setups, or is kept off or off in one."""
    if row.kind not in ("azimuth", "height"):
        return True
    return row.verdict != "not compared" or any(value.words == "off" for value in row.values)


def _moon_line(found: Compared, figure: str, fixture: str, shown: Sequence[str]) -> tuple[str, ...]:
    """From where in each frame a light that plays the moon comes."""
    cells = []
    for one in found.seen:
        if one.name in shown:
            lit = one.lit[figure]
            way = next((each.way for each in lit.moons if each.fixture == fixture), None)
            reach = lit.reach.get(fixture)
            if way is None or reach is None:
                cells.append("off")
            else:
                cells.append(way.short if reach.reaches else reach.why_not)
    return (f"{fixture}, in frame", *cells, "")


def cheat_table(found: Compared) -> Iterator[Block]:
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


def looks_table(found: Compared) -> Iterator[Block]:
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
