"""Drift words: what does not hold from setup to setup, said as it is called over the radio: a sentence for each figure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log2

from preview.commands.lenses.names import named
from preview.commands.setups.continuity import Row, lux_words
from preview.commands.setups.seen import Lit, SetupSeen
from preview.commands.setups.tolerance import Tolerance
from preview.script.words import listed_all

LEVELS = ("key", "fill", "rim")


def stops_words(amount: float) -> str:
    """`0.8 stop`, `1.4 stops`."""
    return f"{abs(amount):.1f} stop{'s' if abs(amount) > 1.04 else ''}"


def drift_sentences(
    rows: Mapping[str, Sequence[Row]], seen: Sequence[SetupSeen], tolerance: Tolerance
) -> Iterator[str]:
    """Setup by setup what drifts on each figure, then what drifts behind them."""
    by_name = {one.name: one for one in seen}
    for one in seen:
        on, behind = dict[str, list[str]](), dict[str, list[str]]()
        for figure, theirs in rows.items():
            drifting = [row for row in theirs if one.name in row.drifting]
            on_figure = [row for row in drifting if not _is_behind(row)]
            for words in _on_figure(figure, one, on_figure, by_name, tolerance):
                on.setdefault(words, []).append(figure)
            words = _behind(one.name, [row for row in drifting if _is_behind(row)])
            if words:
                behind.setdefault(words, []).append(figure)
        yield from (f"In {one.name}, {listed_all(figures)} {words}." for words, figures in on.items())
        yield from (
            f"In {one.name} it is {words} behind {listed_all(figures)}." for words, figures in behind.items()
        )


def lost_sentences(rows: Mapping[str, Sequence[Row]], seen: Sequence[SetupSeen]) -> Iterator[str]:
    """`In tight "moon key" does not reach Mara, as it does in main: the house is in its way.`"""
    yield from _lost(rows, seen, meant=False)


def _lost(rows: Mapping[str, Sequence[Row]], seen: Sequence[SetupSeen], *, meant: bool) -> Iterator[str]:
    """With the cheats that account for it, or of what none does; one sentence for figures that it is true of alike."""
    for one in seen:
        whom: dict[tuple[str, str | None, str, tuple[str, ...]], list[str]] = {}
        for figure, theirs in rows.items():
            for row in theirs:
                why = row.value(one.name).lost
                by = row.meant.get(one.name, ())
                if row.kind == "azimuth" and why and (by if meant else one.name in row.lost):
                    whom.setdefault((row.fixture, row.reference, why, by), []).append(figure)
        for (fixture, reference, why, by), figures in whom.items():
            said = f"In {one.name} {named(fixture)} does not reach {listed_all(figures)}, as it does in {reference}: {why}"
            yield f"{said}; {_meant_by(by)}." if by else f"{said}."


def _meant_by(cheats: Sequence[str]) -> str:
    return f"meant, by the {'cheat' if len(cheats) == 1 else 'cheats'} of {listed_all(cheats)}"


def meant_sentences(rows: Mapping[str, Sequence[Row]], seen: Sequence[SetupSeen]) -> Iterator[str]:
    """`In tight, on Ines rim 0.7 stop up (248 lx for 156 lx): meant, by the cheat of moon edge.`"""
    by_name = {one.name: one for one in seen}
    yield from _lost(rows, seen, meant=True)
    for one in seen:
        for figure, theirs in rows.items():
            by_cause: dict[tuple[str, ...], list[str]] = {}
            for row in theirs:
                if one.name in row.meant and one.name in row.differences:
                    assert row.reference is not None
                    before = by_name[row.reference].lit[figure]
                    words = _drift(row, one.name, before, one.lit[figure])
                    by_cause.setdefault(row.meant[one.name], []).append(words)
            for cheats, said in by_cause.items():
                yield f"In {one.name}, on {figure} {', '.join(said)}: {_meant_by(cheats)}."


def _is_behind(row: Row) -> bool:
    return row.kind in ("background", "background_colour")


def _on_figure(
    figure: str, one: SetupSeen, rows: Sequence[Row], seen: Mapping[str, SetupSeen], tolerance: Tolerance
) -> Iterator[str]:
    """`against main: key 1.7 stops up (267 lx for 160 lx), fill 2.9 stops up (6.5 lx for 1.7 lx)`."""
    for reference in dict.fromkeys(row.reference for row in rows):
        assert reference is not None
        mine = [row for row in rows if row.reference == reference]
        exposed = log2(seen[reference].grey_lux / one.grey_lux)
        alone = [
            row.measure
            for row in mine
            if row.kind in LEVELS
            and abs(exposed) >= 0.05
            and abs(row.differences[one.name] - exposed) <= tolerance.of(row.kind)
        ]
        said = [
            _drift(row, one.name, seen[reference].lit[figure], one.lit[figure])
            for row in mine
            if row.measure not in alone
        ]
        if alone:
            how = "up" if exposed > 0.0 else "down"
            said.append(
                f"{listed_all(alone)} {how} with the exposure ({stops_words(exposed)}), not with the light"
            )
        yield f"against {reference}: {', '.join(said)}"


def _drift(row: Row, setup: str, before: Lit, now: Lit) -> str:
    by = row.told(setup)
    more = row.differences[setup] > 0.0
    if row.kind in LEVELS:
        assert row.reference is not None
        old, new = row.value(row.reference).lux, row.value(setup).lux
        lux = (
            ""
            if old is None or new is None
            else f" ({lux_words(new)} for {lux_words(old)}{_by_whom(row, before, now)})"
        )
        return f"{row.measure} {stops_words(by)} {'up' if more else 'down'}{lux}"
    if row.kind == "ratio":
        return f"key to fill {stops_words(by)} {'wider' if more else 'narrower'}"
    if row.kind == "colour":
        whom = _by_whom(row, before, now)
        return f"key {abs(by):.0f} mired {'warmer' if more else 'cooler'}{f' ({whom[2:]})' if whom else ''}"
    fixture = row.fixture
    if row.kind == "height":
        return f"{fixture} {abs(by):.0f}° {'higher' if more else 'lower'}"
    return f"{fixture} {abs(by):.0f}° farther {'clockwise' if more else 'anticlockwise'}, seen from above"


def _behind(setup: str, rows: Sequence[Row]) -> str:
    """`1.2 stops darker and 135 mired warmer than in main`: mireds to five, since it is a middle of many things."""
    said = []
    for row in rows:
        by = row.told(setup)
        if row.kind == "background":
            said.append(f"{stops_words(by)} {'brighter' if by > 0.0 else 'darker'}")
        else:
            said.append(f"{5 * round(abs(by) / 5)} mired {'warmer' if by > 0.0 else 'cooler'}")
    return f"{' and '.join(said)} than in {rows[0].reference}" if said else ""


def _by_whom(row: Row, before: Lit, now: Lit) -> str:
    """That another fixture gives it, where one does."""
    if row.kind == "fill":
        return ""
    old, new = (
        (lit.face.rim_by if row.kind == "rim" else lit.face.key.key if lit.face.key else None)
        for lit in (before, now)
    )
    return f", from {new}, not {old}" if old and new and old != new else ""


def holds_sentences(rows: Mapping[str, Sequence[Row]]) -> Iterator[str]:
    """`On Mara and Visitor key, fill and moon key hold.`"""
    alike: dict[tuple[str, ...], list[str]] = {}
    for figure, theirs in rows.items():
        held = [_called(row) for row in theirs if row.verdict == "holds"]
        drifted = {_called(row) for row in theirs if row.verdict in ("drifts", "lost", "as meant")}
        what = tuple(name for name in dict.fromkeys(held) if name not in drifted)
        if what:
            alike.setdefault(what, []).append(figure)
    for what, figures in alike.items():
        verb = "holds" if len(what) == 1 else "hold"
        yield f"On {listed_all(figures)} {listed_all(what)} {verb}."


def _called(row: Row) -> str:
    """A light that plays the moon by its name, whatever of it is measured."""
    if row.kind in ("azimuth", "height"):
        return f"side and height of {row.fixture}"
    return "what is behind" if row.kind == "background" else row.measure
