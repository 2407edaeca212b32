"""Rig trial: a candidate built as fixtures of the scene, brought to its level by the meter, looked for in every setup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import acos, degrees, inf, log2, pi
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from preview.camera.frustum import in_frame
from preview.camera.in_shot import RigUnit, Sighting, sight_unit
from preview.camera.sight import samples
from preview.commands.coverage import rig_units
from preview.commands.metering.frames import PLACES, equivalent_solid_angle, evenness_of
from preview.commands.metering.readings import HELD_OFF, Receptor, levels
from preview.commands.prepare import Ready
from preview.commands.rig.around import Around, Target, Watcher
from preview.commands.rig.lifts import lift_part
from preview.commands.rig.light import looks_deg as estimated_looks_deg
from preview.commands.rig.places import across_frame, free
from preview.commands.rig.search import Candidate
from preview.commands.rig.units import SIDE_BY_SIDE
from preview.light.heads import head_light
from preview.light.light import Light, arriving
from preview.script.models.fixtures import Fixture
from preview.trace.sampling import spread_points
from preview.trace.store import AnyStore

Floats = NDArray[np.float64]

RAYS: Final = 512
BOUNCE_RAYS: Final = 1024
BOUNCES: Final = 1
CLOSE: Final = 0.05
"""Stops that a reading may miss what was asked for."""
NAME: Final = "moon rig"


@dataclass(frozen=True)
class Trial:
    """A candidate as it was built. `fixtures`: as the script would say them; `lights`: the same, ready to trace.

    `read_lux`: at the mark, on a receptor that faces the lamp, the set's shadows and bounce in it; `faces_lux` the same at
    every figure; `sightings`: by setup, of every part of it; `close`: the setups that would show some of what is hidden
    if it moved by `SWAY`. `looks_deg`: degrees across that one of its heads, or its frame, looks from the mark, by the
    meter's reckoning: of the even disc of its solid angle, each part counted by its light. `direct`: the share of the
    light of a frame that goes straight on through its cloth; `spill`: the share of the head's lumens that misses the
    frame; `fill_stops`: how far the frame's edge is under its middle; all three None without a frame.
    """

    candidate: Candidate
    fixtures: tuple[dict[str, Any], ...]
    lights: tuple[Light, ...]
    read_lux: float
    faces_lux: tuple[float, ...]
    sightings: tuple[tuple[str, tuple[Sighting, ...]], ...]
    looks_deg: float
    close: tuple[str, ...] = ()
    direct: float | None = None
    spill: float | None = None
    fill_stops: float | None = None

    @property
    def in_shot(self) -> tuple[str, ...]:
        """The setups that show any of it."""
        return tuple(setup for setup, seen in self.sightings if any(one.status == "in shot" for one in seen))

    @property
    def clear_m(self) -> float:
        """How far the nearest of it is from coming into any frame; inf where none of it could."""
        gaps = [one.clear_m for _, seen in self.sightings for one in seen if one.clear_m is not None]
        return min(gaps, default=inf)

    @property
    def clear_deg(self) -> float:
        """The same at the lens, degrees; of what is partly hidden, as a plain outline."""
        every = [one for _, seen in self.sightings for one in seen]
        gaps = [one.clear_deg for one in every if one.clear_deg is not None]
        if any(one.status == "hidden" for one in every):
            gaps.append(self.candidate.perch.clear_deg)
        return min(gaps, default=inf)

    @property
    def level(self) -> float:
        """1 is full."""
        return float(str(self.fixtures[0]["level"]).split()[0]) / 100.0


def fixtures_of(
    candidate: Candidate, aim: str | list[float], *, level: float, taken: Sequence[str]
) -> tuple[dict[str, Any], ...]:
    """What the script would say of a candidate: a fixture for each of its heads, named as no other is."""
    perch, unit = candidate.perch, candidate.unit
    assert perch.lift is not None
    through: list[dict[str, Any]] = [{"scrim": name} for name in unit.scrims]
    if unit.gel is not None:
        through.append({"gel": unit.gel})
    if unit.frame_m is not None:
        feet = round(unit.frame_m / 0.3048)
        through.append({"frame": f"{feet}x{feet} ft", "cloth": unit.cloth, "away": unit.away})
    aside = (unit.head.body[0] if unit.head.body else unit.size_m) + SIDE_BY_SIDE
    across = np.array([np.cos(perch.azimuth), -np.sin(perch.azimuth), 0.0])
    names: list[str] = []
    made = []
    for number in range(unit.count):
        at = perch.at + (number - (unit.count - 1) / 2.0) * aside * across
        names.append(_free_name([*taken, *names]))
        fixture: dict[str, Any] = {"name": names[-1], "head": unit.head.name, "motive": "moon"}
        fixture |= {"at": [round(float(x), 2) for x in at], "aim": aim, "level": f"{100.0 * level:.4g} %"}
        if unit.flood is not None and unit.flood < 1.0:
            fixture["flood"] = f"{100.0 * unit.flood:g} %"
        if unit.lens is not None:
            fixture["lens"] = unit.lens
        if unit.kelvin is not None:
            fixture["kelvin"] = int(unit.kelvin)
        if through:
            fixture["through"] = through
        if not perch.lift.stands_below:
            fixture["stand"] = False
        made.append(fixture)
    return tuple(made)


def _free_name(taken: Sequence[str]) -> str:
    return next(name for n in range(1, 1000) if (name := NAME if n == 1 else f"{NAME} {n}") not in taken)


def lights_of_rig(ready: Ready, fixtures: Sequence[dict[str, Any]]) -> tuple[Light, ...]:
    """The fixtures as the program builds them."""
    return tuple(head_light(ready.scene, Fixture.model_validate(one)) for one in fixtures)


def meter_facing(target: Target, lamp: Floats) -> Receptor:
    """A flat receptor at a target's meter, turned to a lamp at (3,)."""
    away = lamp - target.meter
    return Receptor(target.name, target.meter, away / np.linalg.norm(away), None)


def tried(
    around: Around,
    ready: Ready,
    candidates: Sequence[Candidate],
    aim: str | list[float],
    *,
    lux: float,
    store: AnyStore,
    seed: int,
) -> list[Trial | str]:
    """Each candidate at the level that gives what is asked for by the meter; or, in words, why it does not."""
    taken = [fixture.name for fixture in ready.scene.fixtures]

    def built(levels_of: Sequence[float]) -> list[tuple[dict[str, Any], ...]]:
        return [
            fixtures_of(one, aim, level=level, taken=taken)
            for one, level in zip(candidates, levels_of, strict=True)
        ]

    level = [min(2.0**-one.unit.stops, 1.0) for one in candidates]
    read = _read(around, ready, candidates, built(level), store=store, seed=seed)
    level = [one * lux / max(float(found[0]), 1e-12) for one, found in zip(level, read, strict=True)]
    said = built([min(one, 1.0) for one in level])
    read = _read(around, ready, candidates, said, store=store, seed=seed)
    answers: list[Trial | str] = []
    for one, asked, fixtures, found in zip(candidates, level, said, read, strict=True):
        gives = float(found[0])
        if asked > 1.0 or abs(log2(max(gives, 1e-12) / lux)) > CLOSE:
            answers.append(f"gives {gives:.2g} lux at full, by the meter")
            continue
        lights = lights_of_rig(ready, fixtures)
        sightings, close = _sighted(around, ready, one, fixtures, lights)
        trial = Trial(
            one,
            fixtures,
            lights,
            gives,
            tuple(found[1:].tolist()),
            sightings,
            looks_of(around, one, lights[0]),
            close,
        )
        answers.append(_framed(around, trial) if one.unit.is_soft else trial)
    return answers


def looks_of(around: Around, candidate: Candidate, light: Light) -> float:
    """Degrees across that what shines last of one head looks from the mark, as an even disc of its solid angle."""
    last = max(origin.stage for origin in light.origins)
    emitters = [
        one for one, origin in zip(light.emitters, light.origins, strict=True) if origin.stage == last
    ]
    solid_angle = equivalent_solid_angle(emitters, around.mark.meter)
    if solid_angle is None:
        return estimated_looks_deg(candidate.perch, candidate.unit)
    return degrees(2.0 * acos(max(1.0 - solid_angle / (2.0 * pi), -1.0)))


def _framed(around: Around, trial: Trial) -> Trial:
    """A trial with what its frame does to the light."""
    light = trial.lights[0]
    stood = light.modifiers[-1]
    lux = {"direct": 0.0, "diffuse": 0.0}
    point = np.asarray(around.mark.meter, np.float32)[:, None]
    u = spread_points(PLACES)
    points = np.repeat(point, PLACES, axis=1)
    for emitter, origin in zip(light.emitters, light.origins, strict=True):
        if origin.stage == len(light.modifiers) - 1 and origin.way in lux:
            lux[origin.way] += float(arriving(emitter, points, np.zeros_like(points), u)[2].mean())
    total = sum(lux.values())
    edge = evenness_of(stood.falling)
    return replace(
        trial,
        direct=lux["direct"] / total if total > 0.0 else None,
        spill=stood.spilled / stood.lumens,
        fill_stops=edge if np.isfinite(edge) else None,
    )


def _read(
    around: Around,
    ready: Ready,
    candidates: Sequence[Candidate],
    fixtures: Sequence[Sequence[dict[str, Any]]],
    *,
    store: AnyStore,
    seed: int,
) -> Floats:
    """Lux (candidates, 1 + faces) of each at the mark and at the faces, receptors turned to its lamp."""
    targets = (around.mark, *around.faces)
    rows = []
    for one, some in zip(candidates, fixtures, strict=True):
        lights = lights_of_rig(ready, some)
        receptors = tuple(meter_facing(target, one.perch.at) for target in targets)
        found = levels(
            replace(ready, lights=lights),
            receptors,
            rays=RAYS,
            bounce_rays=BOUNCE_RAYS,
            bounces=BOUNCES,
            seed=seed,
            store=store,
        )
        rows.append(found.total.sum(axis=1))
    return np.array(rows).reshape(len(candidates), len(targets))


def _sighted(
    around: Around,
    ready: Ready,
    candidate: Candidate,
    fixtures: Sequence[dict[str, Any]],
    lights: tuple[Light, ...],
) -> tuple[tuple[tuple[str, tuple[Sighting, ...]], ...], tuple[str, ...]]:
    """By setup, how each part stands to the frame; and the setups that would show something hidden if it moved."""
    models = tuple(Fixture.model_validate(one) for one in fixtures)
    perch = candidate.perch
    assert perch.lift is not None
    lift = lift_part(str(fixtures[0]["name"]), perch.lift, perch.at, perch.base, around.scene.terrain)
    found, close = [], []
    for watcher in around.watchers:
        units = rig_units(replace(ready, scene=replace(around.scene, fixtures=models), lights=lights))
        if lift is not None:
            units.append(RigUnit(lift.name, "stand", lift))
        seen = tuple(sight_unit(unit, units, watcher.view, watcher.world, watcher.rays) for unit in units)
        found.append((watcher.setup, seen))
        hidden = [unit for unit, one in zip(units, seen, strict=True) if one.status == "hidden"]
        if any(_peeps(watcher, unit) for unit in hidden):
            close.append(watcher.setup)
    return tuple(found), tuple(close)


def _peeps(watcher: Watcher, unit: RigUnit) -> bool:
    """Whether a frame would show any of a unit that is hidden from it, if it moved by `SWAY` some way across."""
    triangles = unit.part.vertices[unit.part.faces].astype(np.float64)
    for way in across_frame(watcher.view):
        inside = in_frame(watcher.view, triangles + way)
        if len(inside) and free(watcher, samples(watcher.view, inside)[0]).any():
            return True
    return False


def check_mark(around: Around, trial: Trial) -> dict[str, Any]:
    """A mark that reads the rig as it was read here, as the script would say it."""
    receptor = meter_facing(around.mark, trial.candidate.perch.at)
    at = receptor.position - HELD_OFF * receptor.facing
    return {
        "name": f"{trial.fixtures[0]['name']} check",
        "at": [round(float(x), 3) for x in at],
        "facing": [round(float(x), 2) for x in trial.candidate.perch.at],
    }
