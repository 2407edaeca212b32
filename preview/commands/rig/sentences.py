"""Rig sentences: each rig in full, what they have in common said once."""

from __future__ import annotations

from preview.commands.rig.found import Found
from preview.commands.rig.light import Reach, over_cast, over_set, unevenness
from preview.commands.rig.places import angle_between
from preview.commands.rig.search import EDGE
from preview.commands.rig.trial import Trial
from preview.commands.rig.units import ON_LIFT, Unit
from preview.commands.rig.words import (
    ON_IT,
    UNLIT,
    cheat_words,
    from_camera,
    kilowatts,
    level_words,
)
from preview.script.words import listed_all
from preview.sheets.answer.words import percent

SAME_COLOUR = 12.0
"""Mireds that nobody tells apart across a set. From memory, typical."""
CLOSE = 1.5
"""Metres from coming into frame within which that is said. Our own choice."""
COUNTS = 0.25
"""Points in the ranking from which something is told against a rig. Our own choice."""
STRAIGHT = 0.1
"""Share of a frame's light that goes straight through its cloth, from which that is told. Our own choice."""
UNEVEN = 1.5
"""Stops of a frame's edge under its middle from which it is told. Our own choice."""
SPILLED = 0.1
"""Share of a head's light that misses its frame, from which it is told. Our own choice."""


def rig_sentences(found: Found) -> tuple[str, ...]:
    """A paragraph for what all have in common, if there is any, and one for each."""
    told = [_of_one(found, trial) for trial in found.trials]
    shared = [line for line in told[0] if all(line in other for other in told)] if len(told) > 1 else []
    paragraphs = [f"All rigs. {' '.join(map(_of_all, shared))}"] if shared else []
    for number, lines in enumerate(told, 1):
        own = [line for line in lines if line not in shared]
        paragraphs.append(f"Rig {number}. {' '.join(own) if own else 'There is no more to say of it.'}")
    return tuple(paragraphs)


def _of_all(line: str) -> str:
    if line.startswith("It "):
        return f"Each {line.removeprefix('It ')}"
    return line.replace("Nothing of it ", "Nothing of any ", 1)


def _of_one(found: Found, trial: Trial) -> list[str]:
    around, perch, unit = found.around, trial.candidate.perch, trial.candidate.unit
    assert perch.lift is not None
    said = [
        _sentence(from_camera(perch, around, found.ready.view).words),
        *_setting(trial, found.moon.kelvin),
    ]
    said += _frame(trial)
    if perch.lift.reaches > 0.0:
        aside = ((perch.base[0] - perch.at[0]) ** 2 + (perch.base[1] - perch.at[1]) ** 2) ** 0.5
        said.append(
            f"The lift stands {aside:.1f} m aside of the lamp, at [{perch.base[0]:.1f}, {perch.base[1]:.1f}]."
        )
    off = angle_between(around, perch)
    if off >= ON_IT:
        said.append(f"It is cheated {off:.0f}° from the moon asked for: {cheat_words(around, perch)}.")
    said.append(_softness(trial.looks_deg, found.asked_deg))
    if unit.count > 1:
        said.append("Heads side by side throw a shadow each: put them close, or through one frame.")
    if perch.shade > 0.02:
        said.append(f"The set hides {percent(perch.shade)} of it from the mark; the level makes up for that.")
    for face, share in zip(around.faces, perch.faces_shade, strict=True):
        if share > 0.5 and face.name != around.mark.name:
            said.append(f"{face.owner} is in a shadow of the set.")
    said += _seen(trial)
    instead = _instead(found, trial)
    if instead:
        said.append(f"By estimate {instead} does there as well.")
    dark = [reach.piece for reach in _reaches(found, trial) if reach.stops < UNLIT]
    if dark:
        said.append(f"Nothing of it reaches {listed_all(dark)}: that takes a unit of its own.")
    against = _against(found, trial)
    if against:
        said.append(against)
    return said


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _reaches(found: Found, trial: Trial) -> tuple[Reach, ...]:
    return over_set(trial.candidate.perch, trial.candidate.unit, found.around.mark.place, found.search.seen)


def _setting(trial: Trial, kelvin: float) -> list[str]:
    unit = trial.candidate.unit
    parts = [f"{unit.kelvin:.0f} K"] if unit.kelvin is not None else []
    parts += [unit.gel] if unit.gel is not None else []
    parts += [f"a {name} scrim" for name in unit.scrims]
    parts.append(f"level {level_words(trial.level)}")
    said = [f"Set: {', '.join(parts)}; {kilowatts(unit)}."]
    comes = trial.lights[0].kelvin
    if comes is not None and abs(1e6 / comes - 1e6 / kelvin) > SAME_COLOUR:
        mired = 1e6 / comes - 1e6 / kelvin
        said.append(
            f"It comes out at {comes:.0f} K, {abs(mired):.0f} mired {'warmer' if mired > 0 else 'cooler'}."
        )
    return said


def _frame(trial: Trial) -> list[str]:
    """What holds the frame and what it does to the light."""
    unit, lift = trial.candidate.unit, trial.candidate.perch.lift
    if unit.frame_m is None or lift is None:
        return []
    what = lift.name.partition(",")[0]
    if unit.held == ON_LIFT:
        holds = (
            f"the {what} holds it with the head, {unit.weight_kg:.0f} kg of some {lift.carries:.0f}; its plate and those "
            "who run it decide"
        )
    else:
        holds = f"it is on stands of its own, the {what} holds the head"
    said = [
        f"The {_feet(unit)} frame goes {unit.away:.1f} m before the head, where the beam's edge meets the frame's: {holds}."
    ]
    does = []
    if trial.fill_stops is not None and trial.fill_stops > UNEVEN:
        does.append(f"its edge is {trial.fill_stops:.1f} stops under its middle")
    if trial.spill is not None and trial.spill > SPILLED:
        does.append(f"{percent(trial.spill)} of the head's light misses it: flag that")
    if trial.direct is not None and trial.direct > STRAIGHT:
        does.append(
            f"{percent(trial.direct)} of the light goes straight through the cloth and throws the head's own shadow"
        )
    if does:
        told = "; ".join(does)
        said.append(f"{told[:1].upper()}{told[1:]}.")
    return said


def _feet(unit: Unit) -> str:
    assert unit.frame_m is not None
    feet = round(unit.frame_m / 0.3048)
    return f"{feet}x{feet} ft"


def _softness(looks: float, asked: float) -> str:
    times = looks / asked
    says = f"It looks {looks:.2g}° across from the mark, the moon {asked:.2g}°"
    if 0.75 <= times <= 1.33:
        return f"{says}: shadows are as sharp."
    more = f"{times:.1f}".removesuffix(".0") if times < 10.0 else f"{times:.0f}"
    return f"{says}: edges of shadows are {more} times as wide."


def _seen(trial: Trial) -> list[str]:
    """How little is left before something shows, and what shines into the lens."""
    said = []
    gaps = [
        (one.clear_m, setup, one)
        for setup, seen in trial.sightings
        for one in seen
        if one.clear_m is not None and one.clear_m < CLOSE
    ]
    if gaps:
        metres, setup, one = min(gaps, key=lambda gap: gap[0])
        said.append(
            f"Only {metres:.1f} m is left before its {one.name.rpartition('.')[2]} comes into frame at the {one.clear_of} "
            f"in {setup}."
        )
    shines = [setup for setup, seen in trial.sightings if any(one.shines is not None for one in seen)]
    if shines:
        said.append(f"It shines into the lens in {listed_all(shines)}: flag it, or flare is in the picture.")
    return said


def _instead(found: Found, trial: Trial) -> str:
    """Another kind of lamp at the same place, by estimate."""
    mine = trial.candidate
    return next(
        (
            one.unit.words
            for one in found.search.candidates
            if one.perch is mine.perch
            and one.unit.frame_m == mine.unit.frame_m
            and one.unit.head.lamp != mine.unit.head.lamp
        ),
        "",
    )


def _against(found: Found, trial: Trial) -> str:
    """What counts more against it than against the best of the others in that; of one alone, what counts most."""
    rest = [dict(other.candidate.reasons) for other in found.trials if other is not trial]
    more = {
        name: points - min((other.get(name, 0.0) for other in rest), default=0.0)
        for name, points in trial.candidate.reasons
    }
    words = []
    for name in sorted(more, key=lambda name: -more[name]):
        told = _reason(found, trial, name) if more[name] >= COUNTS else ""
        if told:
            words.append(told)
    if not words:
        return ""
    return f"Against it{', beside the others' if rest else ''}: {listed_all(words[:2])}."


def _reason(found: Found, trial: Trial, name: str) -> str:
    """What a reason is for one rig; empty for what is said of it elsewhere."""
    around, perch, unit = found.around, trial.candidate.perch, trial.candidate.unit
    assert perch.lift is not None
    cast = over_cast(perch, unit, around.mark.place, around.faces) or 0.0
    uneven = unevenness(perch, unit, around.mark.place, found.search.seen)
    footing = perch.footing
    most = max(_reaches(found, trial), key=lambda reach: reach.stops, default=None)
    told = {
        "fall-off over the cast": f"{cast:.1f} stops of fall-off over the cast",
        "fall-off over the set": f"light on the set about the mark up to {uneven:.1f} stops off the mark's",
        "what lifts it": f"the {perch.lift.name.replace(',', ' of the', 1)} that it takes",
        "power": f"the {kilowatts(unit)} that it takes",
        "a frame in the wind": f"{_feet(unit)} of cloth in the wind" if unit.is_soft else "",
        "too much light on the set": ""
        if most is None
        else f"{most.stops:.1f} stops more on {most.piece} than at the mark",
        "soft ground": "" if footing is None else f"soft ground ({footing.words})",
        "sloping ground": "" if footing is None else f"ground that slopes {footing.slope_deg:.0f}°",
        EDGE: f"{trial.clear_deg:.1f}° from the frame's edge" if trial.clear_m >= CLOSE else "",
    }
    return told.get(name, "")
