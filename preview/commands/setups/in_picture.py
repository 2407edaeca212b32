"""In the picture: what of the rig is in shot, and a moon in the picture that its light does not come from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from preview.camera.in_shot import Sighting
from preview.commands.lenses.figures import practicals_in
from preview.commands.lenses.names import called, named, owner_and_part
from preview.commands.setups.moon_side import Source, apart_deg
from preview.commands.setups.seen import SetupSeen
from preview.script.words import listed_all

ONE_MOON: Final = 20.0
"""Degrees in azimuth up to which a light passes for that of the moon in the picture. Common practice, no source."""


def picture_sentences(seen: Sequence[SetupSeen]) -> Iterator[str]:
    """Rig in shot, what fills the frame first, then moons that do not agree; what is alike in some setups once."""
    said: dict[str, list[str]] = {}
    for one in sorted(seen, key=lambda one: not any(_fills(thing) for thing in in_shot(one))):
        for words in _rig(one):
            said.setdefault(words, []).append(one.name)
    for one in seen:
        for words in _moons(one):
            said.setdefault(words, []).append(one.name)
    yield from (f"In {listed_all(names)} {words}." for words, names in said.items())


def in_shot(one: SetupSeen) -> tuple[Sighting, ...]:
    """What of the rig the lens sees: heads, stands, frames and the rest; practicals belong there."""
    return tuple(
        thing for thing in one.coverage.items if thing.kind != "practical" and thing.status == "in shot"
    )


def moons_in_picture(one: SetupSeen) -> tuple[Source, ...]:
    """The moons whose disc is seen in the picture, as they come to the first of the cast."""
    shown = {each.name for each in practicals_in(one.shot, one.coverage) if each.lit}
    lit = next(iter(one.lit.values()), None)
    return () if lit is None else tuple(each for each in lit.moons if each.is_far and each.fixture in shown)


def _fills(thing: Sighting) -> bool:
    return thing.where == "all over the frame"


def _rig(one: SetupSeen) -> Iterator[str]:
    """A clause for each fixture: what of it is in shot and where, and what clears it."""
    things: dict[str, list[Sighting]] = {}
    for thing in sorted(in_shot(one), key=lambda thing: not _fills(thing)):
        things.setdefault(owner_and_part(thing.name)[0], []).append(thing)
    for mine in things.values():
        verb = "is" if len(mine) == 1 else "are"
        yield f"{called([thing.name for thing in mine])} {verb} in shot, {mine[0].where}{_cleared(mine)}"


def _cleared(things: Sequence[Sighting]) -> str:
    """What takes all of them out of frame, where it is one move."""
    ways = [thing.clears for thing in things if thing.clears is not None]
    if len(ways) < len(things) or len({way.direction for way in ways}) > 1:
        return ""
    return f"; to clear: {max(ways, key=lambda way: way.amount).words}"


def _moons(one: SetupSeen) -> Iterator[str]:
    """`"moon" stands in the picture at 36°, but "moon key" comes to Mara from 66° (30° off): ...`"""
    for moon in moons_in_picture(one):
        farthest: dict[str, tuple[float, str]] = {}
        for name, lit in one.lit.items():
            for source in lit.reaching if lit.in_frame else ():
                off = round(abs(apart_deg(round(moon.azimuth_deg), round(source.azimuth_deg))))
                if not source.is_far and off > farthest.get(source.fixture, (ONE_MOON, ""))[0]:
                    farthest[source.fixture] = off, f"{name} from {source.azimuth_deg:.0f}° ({off}° off)"
        if farthest:
            lights = [f"{named(fixture)} comes to {words}" for fixture, (_, words) in farthest.items()]
            yield (
                f"{named(moon.fixture)} stands in the picture at {moon.azimuth_deg:.0f}°, but {listed_all(lights)}: "
                f"past about {ONE_MOON:.0f}° it looks like two moons"
            )
