"""Night notes: what is to be said of a script's place and night, and of a real moon in it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from math import degrees

from preview.script.scene import Scene


def night_notes(scene: Scene) -> Iterator[str]:
    """Sentences about the night of a scene: when and where it is, then what `moon_notes` says."""
    if scene.place is None or scene.night is None:
        return
    from preview.night.observer import comes_twice
    from preview.night.words import date_words
    from preview.script.real_moon import moment_of, observer_of

    observer, at = observer_of(scene.place), moment_of(scene.place, scene.night)
    when = "" if at is None else f", {observer.local(at):%H:%M %Z}"
    yield f"The night of {date_words(scene.night.date)}{when}, at {observer.words}."
    yield from _mistaken(scene, at)
    if at is not None and comes_twice(observer, at):
        yield f"{observer.local(at):%H:%M} comes twice in this night, as the clocks go back: the first is meant."
    yield from moon_notes(scene)


def moon_notes(scene: Scene) -> Iterator[str]:
    """Of each real moon what it gives, or that it gives nothing; and what light of the sky is not in the picture."""
    if (
        scene.place is None
        or scene.night is None
        or not any(_is_real(scene, n) for n in range(len(scene.fixtures)))
    ):
        return
    from preview.night.ephemeris import sun_at
    from preview.night.words import clock, lux_words, phase
    from preview.script.real_moon import moment_of, moon_of, observer_of

    observer, at, seen = (
        observer_of(scene.place),
        moment_of(scene.place, scene.night),
        moon_of(scene.place, scene.night),
    )
    if at is None or seen is None:
        return
    for number, fixture in enumerate(scene.fixtures):
        if not _is_real(scene, number) or fixture.moon is None:
            continue
        if not seen.is_up:
            yield (
                f"{fixture.name}: at {clock(observer, at)} the moon is {degrees(-seen.true_height):.0f}° below the horizon "
                f"and gives no light; {_rises(scene)}."
            )
            continue
        cloud = f", under {100 * scene.night.cloud:.0f} % cloud on average" if scene.night.cloud else ""
        yield (
            f"{fixture.name}: the true moon, {phase(seen)}, {100 * seen.lit:.0f} % lit, {degrees(seen.height):.0f}° up "
            f"from {degrees(fixture.moon.azimuth):.0f}° of the plan, {lux_words(fixture.moon.lux)} lux facing it{cloud}."
        )
        if scene.night.cloud:
            yield f"{fixture.name}: its shadows are drawn as in a gap of the cloud; under a closed cover there are none."
    sun = degrees(sun_at(observer, at).true_height)
    if sun > -0.8333:
        yield f"At {clock(observer, at)} the sun is up; its light is not in the picture."
    elif sun > -12.0:
        yield (
            f"At {clock(observer, at)} the sun is only {-sun:.0f}° below the horizon: the twilight in the sky is not in "
            "the picture unless a sky of the script gives it."
        )


def _is_real(scene: Scene, number: int) -> bool:
    moon = scene.fixtures[number].moon
    return moon is not None and moon.real


def _rises(scene: Scene) -> str:
    """`it rises at 02:14`, `it is not up in this night`."""
    assert scene.place is not None
    assert scene.night is not None
    from preview.night.events import moon_up
    from preview.night.observer import night_of
    from preview.night.words import spans_words
    from preview.script.real_moon import observer_of

    observer = observer_of(scene.place)
    up = moon_up(observer, night_of(observer, scene.night.date))
    return (
        f"between noon and noon it is up {spans_words(observer, up)}"
        if up
        else "it does not rise in this night"
    )


def _mistaken(scene: Scene, at: datetime | None) -> Iterator[str]:
    assert scene.place is not None
    assert scene.night is not None
    from preview.night.observer import MISTAKEN, hours_off_the_sun, night_of
    from preview.script.real_moon import observer_of

    observer = observer_of(scene.place)
    off = hours_off_the_sun(observer, at or night_of(observer, scene.night.date).start)
    if abs(off) > MISTAKEN:
        yield (
            f"Look at longitude and zone again: the clocks of {scene.place.zone} are {abs(off):.0f} h "
            f"{'ahead of' if off > 0 else 'behind'} the sun at {observer.words}."
        )
