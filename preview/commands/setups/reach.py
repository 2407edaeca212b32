"""Reach: whether a light that plays the moon comes to a figure at all, and what keeps it off."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from preview.build.surfaces import surfaces_of
from preview.build.world import gather
from preview.camera.sight import blockers
from preview.commands.metering.face_light import About
from preview.commands.metering.readings import Levels
from preview.commands.prepare import Ready
from preview.light.lights import lights_of
from preview.script.models.fixtures import Fixture
from preview.script.models.through import Through
from preview.script.motives import MOON, motive_of
from preview.trace.geometry import Geometry

if TYPE_CHECKING:
    from preview.commands.setups.moon_side import Source

Floats = NDArray[np.float64]

COMES: Final = 1.0 / 16.0
"""Share of a light that must come to head and shoulders for it to reach them: four stops. Common practice, no source."""
TELLS: Final = 0.01
"""Share of all the light somewhere on them below which nobody sees that it is there. Common practice, no source."""
RAYS: Final = 64
FAR: Final = 1e3
"""Metres that stand for a moon's distance."""
CUTTERS: Final = ("flag", "doors", "snoot", "cucoloris")


@dataclass(frozen=True)
class Reach:
    """One light on one figure: `lux`, the most of its direct light on head and shoulders; `share` of what would come if
    nothing cut it or stood between; `tells`: the most that it is, somewhere there, of all the light; `kept_off_by`, in
    words, where it does not reach."""

    lux: float
    share: float
    tells: float
    kept_off_by: str = ""

    @property
    def comes(self) -> bool:
        """Whether nothing keeps it off, however little it is."""
        return self.share >= COMES

    @property
    def reaches(self) -> bool:
        """Whether it comes, and is seen."""
        return self.comes and self.tells >= TELLS

    @property
    def why_not(self) -> str:
        """`the house is in its way`, `its flag cuts it`, `under 1 % of the light`."""
        if not self.comes:
            return self.kept_off_by or "something is in its way"
        return f"under {100 * TELLS:.0f} % of the light"


def reaches(
    ready: Ready, held: Sequence[About], lux: Levels, sources: Mapping[str, Sequence[Source]]
) -> dict[str, dict[str, Reach]]:
    """By figure, by fixture, of every light that plays the moon. `lux`: read at all that is held; `sources` by figure."""
    columns = [
        (number, fixture)
        for number, fixture in enumerate(ready.scene.fixtures)
        if motive_of(fixture) == MOON and fixture.level > 0.0
    ]
    if not held or not columns:
        return {one.figure.name: {} for one in held}
    fixtures = [fixture for _, fixture in columns]
    cut = _unshadowed(ready, held, fixtures)
    free = (
        _unshadowed(ready, held, [_uncut(one) for one in fixtures]) if any(map(_cutters, fixtures)) else cut
    )
    whole = lux.total.sum(axis=1)
    answer: dict[str, dict[str, Reach]] = {}
    for order, one in enumerate(held):
        count = len(one.receptors)
        rows = [order * count + row for row, receptor in enumerate(one.receptors) if not receptor.dome]
        found = answer.setdefault(one.figure.name, {})
        for place, (number, fixture) in enumerate(columns):
            came = lux.direct[rows, number]
            most, all_of_it = float(came.max()), float(free[rows, place].max())
            tells = float((came / np.maximum(whole[rows], 1e-12)).max())
            reach = Reach(most, most / all_of_it if all_of_it > 0.0 else 1.0, tells)
            if reach.share < COMES:
                own = float(cut[rows, place].max()) < COMES * all_of_it
                source = next(
                    (each for each in sources[one.figure.name] if each.fixture == fixture.name), None
                )
                by = _own_words(fixture) if own else "" if source is None else _in_the_way(ready, one, source)
                reach = replace(reach, kept_off_by=by)
            found[fixture.name] = reach
    return answer


def _unshadowed(ready: Ready, held: Sequence[About], fixtures: Sequence[Fixture]) -> Floats:
    """Lux (receptors, fixtures) with nothing built: neither set nor cast."""
    from preview.trace.receptors import read

    nothing = gather([])
    receptors = [receptor for one in held for receptor in one.receptors]
    lights = lights_of(replace(ready.scene, fixtures=tuple(fixtures)))
    found = read(
        np.array([each.position for each in receptors]),
        np.array([each.facing for each in receptors]),
        Geometry(nothing, surfaces_of(nothing)),
        lights,
        domes=np.array([each.dome for each in receptors]),
        rays=RAYS,
        bounce_rays=0,
        haze=ready.haze,
    )
    return np.array([light.gain * direct for light, direct in zip(lights, found.direct, strict=True)]).T


def _cutters(fixture: Fixture) -> list[Through]:
    """What of its own cuts a fixture's light."""
    return [thing for thing in fixture.through if any(getattr(thing, key) is not None for key in CUTTERS)]


def _uncut(fixture: Fixture) -> Fixture:
    cutters = _cutters(fixture)
    return fixture.model_copy(
        update={"through": [thing for thing in fixture.through if thing not in cutters]}
    )


def _own_words(fixture: Fixture) -> str:
    """`its flag cuts it`, `its flag and doors cut it`."""
    found = [key for thing in _cutters(fixture) for key in CUTTERS if getattr(thing, key) is not None]
    names = list(dict.fromkeys(found))
    plural = len(names) > 1 or names == ["doors"]
    return f"its {' and '.join(names)} {'cut' if plural else 'cuts'} it"


def _in_the_way(ready: Ready, one: About, source: Source) -> str:
    """`the house is in its way`: what stands before most of head and shoulders, as seen from the light."""
    places = np.array([each.position for each in one.receptors if not each.dome])
    lamp = np.array(source.towards)
    start = places.mean(axis=0) + (FAR * lamp / np.linalg.norm(lamp) if source.is_far else lamp)
    own = f"{one.figure.name}."
    found = blockers(
        start,
        places,
        ready.world,
        ready.stage.solid.rays,
        own=lambda name: name.startswith(own),
        through_own=True,
    )
    names = Counter(ready.world.names[part].partition(".")[0] for part in found[found >= 0].tolist())
    if not names:
        return ""
    by = names.most_common(1)[0][0]
    called = by if by in _names(ready) else f"the {by}"
    return f"{called} is in its way"


def _names(ready: Ready) -> Iterable[str]:
    return {figure.name for figure in ready.scene.cast}
