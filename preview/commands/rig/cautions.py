"""Rig cautions: what can hurt somebody where these rigs would stand, as this place calls for, and what always can."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from preview.commands.rig.footing import Footing
from preview.commands.rig.found import Found
from preview.commands.rig.units import Unit
from preview.commands.rig.words import numbered
from preview.script.models.pieces.ground import Street
from preview.script.words import listed_all

NEAR_WATER: Final = 15.0
"""Metres from a base within which water is told of. Our own choice."""
LEVEL: Final = 1.0
"""Degrees of slope from which ground is not called level. Our own choice."""
SEE_FIRST: Final = (
    "Heights, loads and reach are typical and from memory. They choose what to ask for: the plate, the operator, the "
    "rigger and local codes decide."
)


def cautions(found: Found) -> tuple[str, ...]:
    """Sentences, the place's own first."""
    perches = [trial.candidate.perch for trial in found.trials]
    if not perches and found.nearest is not None:
        perches = [found.nearest]
    footings = [perch.footing for perch in perches if perch.footing is not None]
    units = [trial.candidate.unit for trial in found.trials]
    lifted = any(perch.lift is not None and not perch.lift.stands_below for perch in perches) or not perches
    roads = [name for name, piece in found.around.scene.set if isinstance(piece, Street)]
    told = [_water(found, footings), _ground(footings, of=len(found.trials)), _road(roads)]
    told += [_lifts(lifted), _frames(units), _electricity(units), SEE_FIRST]
    return tuple(line for line in told if line)


def _water(found: Found, footings: Sequence[Footing]) -> str:
    near = {
        footing.water: min(
            one.water_m for one in footings if one.water == footing.water and one.water_m is not None
        )
        for footing in footings
        if footing.water_m is not None and footing.water_m < NEAR_WATER
    }
    waters = dict.fromkeys(found.around.shore[1])
    if not waters:
        return ""
    where = f"Water ({listed_all(list(waters))})"
    if near:
        where = (
            f"Water {listed_all([f'{metres:.0f} m from a base ({name})' for name, metres in near.items()])}"
        )
    return (
        f"{where}. Waves, tide or flood may come higher than drawn, and banks and quays give way under a load: what "
        "stands there keeps well back, and no connector lies where water can come. At night edge protection, life jackets "
        "and somebody who watches."
    )


def _ground(footings: Sequence[Footing], *, of: int) -> str:
    """What of the ground under the bases gives way or slopes."""
    soft = [number for number, one in enumerate(footings, 1) if one.soft or one.wet]
    sloped = [number for number, one in enumerate(footings, 1) if one.slope_deg >= LEVEL]
    told = []
    if soft:
        kinds = listed_all(list(dict.fromkeys(footings[number - 1].words for number in soft)))
        told.append(
            f"Soft ground{_under(soft, of)} ({kinds}): boards or mats below wheels, plates and feet; the operator walks it "
            "first."
        )
    if sloped:
        most = max(footings[number - 1].slope_deg for number in sloped)
        told.append(
            f"A slope{_under(sloped, of)}, up to {most:.0f}°: legs or outriggers level it, as far as its plate says."
        )
    return " ".join(told)


def _under(numbers: Sequence[int], of: int) -> str:
    return f" under {numbered(numbers, of)}" if of else ""


def _road(roads: Sequence[str]) -> str:
    if not roads:
        return ""
    where = "Road" if list(roads) == ["road"] else f"Road ({listed_all(roads)})"
    return (
        f"{where}: permits, traffic control, visible clothing; cables in ramps or overhead, nothing and "
        "nobody unlit beside it."
    )


def _lifts(lifted: bool) -> str:
    lines = "Overhead lines: look by daylight, and keep the distance that the local code and the line's owner ask for."
    if not lifted:
        return f"Stands: wide, levelled, with bags on the legs and guys when tall; nobody below. {lines}"
    return (
        "Lifts and towers: trained and licensed operators, harness, firm level ground, the load on the plate and the "
        f"maker's wind limit, nobody below, a way down if the power fails. {lines}"
    )


def _frames(units: Sequence[Unit]) -> str:
    if not any(unit.is_soft for unit in units):
        return ""
    return (
        "A frame of cloth is a sail, and many makers and hire firms forbid it on a basket or a tower: ask before it is "
        "planned. Guys and ballast for the wind that may come, somebody at each, and a wind speed agreed beforehand at "
        "which it comes down."
    )


def _electricity(units: Sequence[Unit]) -> str:
    discharge = ""
    if any((unit.head.lamp or "").startswith("discharge") for unit in units):
        discharge = (
            "Discharge heads: high voltage at the ignitor, hot glass under pressure, ultraviolet if the front glass is "
            "broken or missing. "
        )
    return (
        f"{discharge}Electricity outdoors: residual-current protection, connectors off the ground and covered, earthing "
        "and distribution by a licensed electrician."
    )
