"""Rig verdict: whether rigs do it and how near to the direction asked for; what stops them where none does."""

from __future__ import annotations

from collections import Counter
from math import degrees

from preview.camera.bearing import bearing
from preview.commands.rig.found import Found
from preview.commands.rig.places import angle_between, direction
from preview.commands.rig.words import ON_IT, azimuth_words, lux_words, named, numbered, stops_off


def about(found: Found) -> str:
    """What is asked for, in one line."""
    around, moon = found.around, found.moon
    seen = bearing(direction(around.azimuth, around.elevation), around.mark.place, found.ready.view)
    return (
        f"Setup {found.ready.scene.setup}. Moon from {azimuth_words(around, around.azimuth)}: "
        f"{seen.words}; {lux_words(moon.lux)} at {around.mark.name}, {kelvin_of(found)} K"
    )


def kelvin_of(found: Found) -> int:
    """To fifty, as a head is set."""
    return 50 * round(found.moon.kelvin / 50.0)


def verdict(found: Found) -> list[str]:
    """The first sentences of the answer."""
    around, moon = found.around, found.moon
    lines = [_does(found)] if found.trials else _does_not(found)
    played = ""
    if moon.names:
        played = f"What plays the moon now, {named(moon.names)}, is taken out for this. "
    grey = found.grey_stops
    against = "at" if abs(grey) < 0.05 else f"{abs(grey):.1f} stops {'over' if grey > 0.0 else 'under'}"
    lux = lux_words(moon.lux)
    lines.append(
        f"{played}{lux[:1].upper()}{lux[1:]}, on a receptor at {around.mark.name} turned to the lamp, is {moon.lux_by}: "
        f"{against} grey for this camera. {kelvin_of(found)} K is {moon.kelvin_by}."
    )
    count, free = len(found.search.perches), len(found.search.free)
    if free:
        lines.append(
            f"{free} of {count} places that were tried can be used: throws of 5 to 65 m, up to 15° round and 10° lower. "
            "Ranked by how close to the direction, fall-off over cast and set, what lifts it, power, shade, ground, the "
            "frame's edge, and cloth in the wind."
        )
    return lines


def _does(found: Found) -> str:
    """How many rigs do it, how near to the direction, and the best."""
    best, count = found.trials[0].candidate, len(found.trials)
    assert best.perch.lift is not None
    offs = [angle_between(found.around, trial.candidate.perch) for trial in found.trials]
    on_it = [number for number, off in enumerate(offs, 1) if off < ON_IT]
    if count == 1:
        does = "One rig does it" + ("" if on_it else f", not on the direction asked but {offs[0]:.0f}° off")
    elif not on_it:
        near = min(range(count), key=lambda n: offs[n])
        does = f"{count} rigs do it, none on the direction asked; rig {near + 1} is nearest, {offs[near]:.0f}° off"
    elif len(on_it) < count:
        rest = "the other" if count - len(on_it) == 1 else "the others up to"
        does = f"{count} rigs do it; {numbered(on_it, count)} on the direction asked, {rest} {max(offs):.0f}° off"
    else:
        does = f"{count} rigs do it"
    named = "" if count == 1 else "The best is "
    unit = best.unit.words if count > 1 else best.unit.words[:1].upper() + best.unit.words[1:]
    return (
        f"{does}. {named}{unit}, on a {best.perch.lift.name}, {best.perch.off:.1f} m off and "
        f"{best.perch.height:.1f} m up. {'It' if count == 1 else 'Each'} was built in the scene and read with the meter."
    )


def _does_not(found: Found) -> list[str]:
    if found.search.free and not found.search.candidates:
        return [_no_light(found)]
    if found.search.free:
        failures = "; ".join(dict.fromkeys(found.failures)) or "none of them passes the meter"
        return [f"No rig does it. Those that were built: {failures}.", *_nearest(found)]
    return [
        f"No rig does it. What stops one, of {len(found.search.perches)} places: {_stopped(found)}.",
        *_nearest(found),
    ]


def _stopped(found: Found) -> str:
    """What is against most of the places, in words."""
    counts = Counter(
        "higher than any lift goes" if "no lift" in perch.why else perch.why for perch in found.search.perches
    )
    return "; ".join(f"{why}: {count}" for why, count in counts.most_common(3))


def _no_light(found: Found) -> str:
    """How far off what the heads of the catalogue give is from what is asked for."""
    lux, stock, strongest = found.moon.lux, found.stock, found.search.strongest
    if strongest is not None and strongest.lux < lux:
        perch = strongest.perch
        return (
            f"No rig does it: the most to be had is about {lux_words(strongest.lux)}, by {strongest.heads}, "
            f"{perch.throw:.1f} m from the mark: {-stops_off(strongest.lux, lux):.1f} stops under what is asked for."
        )
    far = max(found.search.free, key=lambda perch: perch.throw)
    least = float((stock.candela / 2.0**stock.most).min()) / far.throw**2
    if least > lux:
        return (
            f"No rig does it: at the farthest place, {far.throw:.1f} m from the mark, the weakest head, wired and dimmed, "
            f"still gives {lux_words(least)}, {stops_off(least, lux):.1f} stops over what is asked for; neutral density "
            "would take that."
        )
    return (
        "No rig does it: no head of the catalogue has a beam that covers the cast and so much light, and can be carried "
        "up there."
    )


def _nearest(found: Found) -> list[str]:
    """Where a rig does it, if anywhere."""
    perch = found.nearest
    if perch is None:
        return ["No other direction was found from which one does: places are taken, seen, or in a shadow."]
    assert perch.lift is not None
    return [
        f"The nearest direction from which one does is {angle_between(found.around, perch):.0f}° from what was asked: "
        f"{azimuth_words(found.around, perch.azimuth)}, {degrees(perch.elevation):.0f}° up, with the lamp "
        f"{perch.off:.1f} m off and {perch.height:.1f} m up on a {perch.lift.name}."
    ]
