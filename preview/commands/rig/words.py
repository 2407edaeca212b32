"""Rig words: what is said of rigs: their places, their light, what stops the rest, what to beware of."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import degrees, log2
from typing import TYPE_CHECKING, Any

from preview.camera.bearing import Bearing, bearing, compass
from preview.commands.rig.light import Reach, looks_deg
from preview.commands.rig.places import angle_between
from preview.commands.rig.units import Unit
from preview.sheets.answer.words import signed

if TYPE_CHECKING:
    from preview.camera.in_shot import Sighting
    from preview.camera.view import View
    from preview.commands.rig.around import Around
    from preview.commands.rig.places import Perch
    from preview.commands.rig.trial import Trial

UNLIT = -8.0
"""Stops under the mark's from which a light is none."""

SAME_COLOUR = 12.0
"""Mireds that nobody tells apart across a set. From memory, typical."""

CAUTIONS = (
    "Boom lifts and towers: trained and licensed operators, harness, firm level ground, the load on the plate and the "
    "maker's wind limit, nobody below, a way down if the power fails. Keep the distance from overhead lines that the local "
    "code and the line's owner ask for, and look for lines by daylight.",
    "A frame or a cloth on a basket or a tower is a sail, and many makers and hire firms forbid it: ask before it is "
    "planned. Frames and tall stands are guyed and ballasted for the wind that may come, with somebody at each and a wind "
    "speed agreed beforehand at which they come down.",
    "Discharge heads: high voltage at the ignitor, hot glass under pressure, ultraviolet if the front glass is broken or "
    "missing. Electricity outdoors: residual-current protection, earthing and distribution by a licensed electrician.",
    "Heights, loads and reach here are typical and from memory. They choose what to ask for; the rigger, the operator and "
    "local codes decide.",
)


def stops_word(stops: float) -> str:
    """Against the mark, to a tenth; `none` where so little comes that no camera sees it."""
    return "none" if stops < UNLIT else signed(stops, 1)


def lux_words(lux: float) -> str:
    """`8.0 lux`, `86 lux`."""
    return f"{lux:.3g} lux" if lux < 1000 else f"{lux:.0f} lux"


def from_camera(perch: Perch, around: Around, view: View) -> Bearing:
    """How the camera sees the lamp from the mark."""
    return bearing(perch.at - around.mark.place, around.mark.place, view)


def azimuth_words(azimuth: float) -> str:
    """`62° north-east`; radians."""
    angle = round(degrees(azimuth)) % 360
    return f"{angle}° {compass(angle)}"


def kilowatts(unit: Unit) -> str:
    return f"{unit.watts / 1000.0:.3g} kW" if unit.watts >= 1000 else f"{unit.watts:.0f} W"


def rig_sentence(
    trial: Trial,
    number: int,
    around: Around,
    view: View,
    *,
    asked_deg: float,
    kelvin: float,
    instead: str,
    reaches: Sequence[Reach],
) -> str:
    """One rig in full: seen how, set how, what counts against it. `instead`: another head that would do there."""
    candidate = trial.candidate
    perch, unit = candidate.perch, candidate.unit
    assert perch.lift is not None
    found = [f"Rig {number}: {from_camera(perch, around, view).words}. {_setting_sentence(trial, kelvin)}"]
    if perch.lift.reaches > 0.0:
        aside = ((perch.base[0] - perch.at[0]) ** 2 + (perch.base[1] - perch.at[1]) ** 2) ** 0.5
        found.append(
            f"The lift stands {aside:.1f} m aside of the lamp, at [{perch.base[0]:.1f}, {perch.base[1]:.1f}]."
        )
    off = angle_between(around, perch)
    if off >= 0.5:
        found.append(f"It is cheated {off:.0f}° from the moon asked for{_cheat(around, perch)}.")
    found.append(_softness(looks_deg(perch, unit), asked_deg))
    if unit.count > 1:
        found.append("Heads side by side throw a shadow each: put them close, or through one frame.")
    if perch.shade > 0.02:
        found.append(
            f"The set hides {100 * perch.shade:.0f} % of it from the mark; the level makes up for that."
        )
    for face, share in zip(around.faces, perch.faces_shade, strict=True):
        if share > 0.5 and face.name != around.mark.name:
            found.append(f"{face.owner} is in a shadow of the set.")
    shines = [setup for setup, seen in trial.sightings if any(one.shines is not None for one in seen)]
    if shines:
        found.append(
            f"It shines into the lens in {' and '.join(shines)}: flag it, or flare is in the picture."
        )
    if instead:
        found.append(f"By estimate {instead} does there as well.")
    dark = [reach.piece for reach in reaches if reach.stops < UNLIT]
    if dark:
        found.append(f"Nothing of it reaches {' and '.join(dark)}: that takes a unit of its own.")
    against = [name for name, points in candidate.reasons if points >= 0.25][:2]
    if against:
        found.append(f"Most against it: {' and '.join(against)}.")
    return " ".join(found)


def _setting_sentence(trial: Trial, kelvin: float) -> str:
    unit = trial.candidate.unit
    parts = [f"{unit.kelvin:.0f} K"] if unit.kelvin is not None else []
    parts += [unit.gel] if unit.gel is not None else []
    parts += [f"a {name}" for name in unit.scrims]
    parts.append(f"level {100.0 * trial.level:.3g} %")
    if unit.frame_m is not None:
        parts.append(f"the frame {unit.away:.1f} m before it, where the beam's edge meets the frame's")
    said = f"Set: {', '.join(parts)}; {kilowatts(unit)}."
    comes = trial.lights[0].kelvin
    if comes is not None and abs(1e6 / comes - 1e6 / kelvin) > SAME_COLOUR:
        mired = 1e6 / comes - 1e6 / kelvin
        said += (
            f" It comes out at {comes:.0f} K, {abs(mired):.0f} mired {'warmer' if mired > 0 else 'cooler'}."
        )
    return said


def _cheat(around: Around, perch: Perch) -> str:
    turn = (degrees(perch.azimuth - around.azimuth) + 180.0) % 360.0 - 180.0
    lower = degrees(around.elevation - perch.elevation)
    told = []
    if abs(turn) >= 0.5:
        told.append(f"{abs(turn):.0f}° {'clockwise' if turn > 0 else 'anticlockwise'} from above")
    if abs(lower) >= 0.5:
        told.append(f"{abs(lower):.0f}° {'lower' if lower > 0 else 'higher'}")
    return f": {' and '.join(told)}" if told else ""


def _softness(looks: float, asked: float) -> str:
    times = looks / asked
    says = f"It looks {looks:.2g}° across from the mark, the moon {asked:.2g}°"
    if 0.75 <= times <= 1.33:
        return f"{says}: shadows are as sharp."
    more = f"{max(times, 1.0 / times):.1f}".removesuffix(".0")
    return f"{says}: edges of shadows are {more} times as {'wide' if times > 1 else 'narrow'}."


def clear_words(seen: Sequence[Sighting]) -> str:
    """Of everything of a rig in one setup: `clear 6.1 m, 12°`, `behind pears`, `in shot`."""
    if any(one.status == "in shot" for one in seen):
        return "in shot"
    clear = [one for one in seen if one.status == "clear" and one.clear_m is not None]
    hidden = sorted(
        {name.partition(".")[0] for one in seen if one.status == "hidden" for name in one.hidden_by}
    )
    words = f"behind {' and '.join(hidden)}" if hidden else ""
    if clear:
        nearest = min(clear, key=lambda one: one.clear_m or 0.0)
        angle = "behind lens" if (nearest.clear_deg or 0.0) > 90.0 else f"{nearest.clear_deg:.0f}°"
        words = f"{nearest.clear_m:.1f} m, {angle}" + (f"; {words}" if words else "")
    return words


def along_rows(
    around: Around, perches: Sequence[Perch], trials: Sequence[Trial]
) -> list[tuple[str, str, str, str]]:
    """What is at each distance along the way asked for: off, lamp up, what is against it, what would help."""
    numbers: dict[int, list[int]] = {}
    for number, trial in enumerate(trials, 1):
        numbers.setdefault(id(trial.candidate.perch), []).append(number)
    here = [
        perch
        for perch in perches
        if perch.azimuth == around.azimuth and abs(perch.elevation - around.elevation) < 1e-9
    ]
    rows = []
    helps = {id(perch): perch.remedy or _aside(around, perch, perches) for perch in here if perch.why}
    for _, group in groupby(here, key=lambda perch: (_kind(perch.why), helps.get(id(perch), ""))):
        some = list(group)
        told = sorted(number for perch in some for number in numbers.get(id(perch), []))
        lifts = list(dict.fromkeys(perch.lift.name for perch in some if perch.lift is not None))
        why = (
            some[0].why if len(some) == 1 or "m up" not in some[0].why else "higher than any lift of the list"
        )
        free = f"free: {', '.join(lifts)}" + (f"; rig {' and '.join(map(str, told))}" if told else "")
        rows.append(
            (
                _range([perch.off for perch in some]),
                _range([perch.height for perch in some]),
                why or free,
                helps.get(id(some[0]), ""),
            )
        )
    return rows


def _aside(around: Around, perch: Perch, perches: Sequence[Perch]) -> str:
    """The nearest free way at the same throw, in words."""
    free = [one for one in perches if not one.why and one.throw == perch.throw]
    if not free:
        return ""
    nearest = min(free, key=lambda one: angle_between(around, one))
    return f"free{_cheat(around, nearest).replace(':', '', 1)}"


def _kind(why: str) -> str:
    return "lift" if "no lift" in why else why


def _range(values: Sequence[float]) -> str:
    first, last = f"{values[0]:.1f}", f"{values[-1]:.1f}"
    return first if first == last else f"{first} to {last}"


def stops_off(read_lux: float, asked_lux: float) -> float:
    return log2(read_lux / asked_lux)


def yaml_line(data: Any) -> str:
    """Plain values as one line of YAML."""
    import yaml

    return str(
        yaml.safe_dump(data, default_flow_style=True, sort_keys=False, width=10_000, allow_unicode=True)
    ).strip()
