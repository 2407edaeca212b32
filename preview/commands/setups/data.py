"""Setups data: the same as plain values for JSON, with units in their names."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from preview.commands.setups.in_picture import in_shot, moons_in_picture
from preview.commands.setups.screen_direction import look_of

if TYPE_CHECKING:
    from preview.commands.setups.command import Compared
    from preview.commands.setups.continuity import Row
    from preview.commands.setups.seen import Lit, SetupSeen


def data_of(found: Compared) -> dict[str, Any]:
    """All that was found; setups from wide to tight."""
    return {
        "title": found.title,
        "look": found.look,
        "tolerance": asdict(found.tolerance),
        "setups": [_setup(found, one) for one in found.seen],
        "continuity": [_row(row) for rows in found.rows.values() for row in rows],
        "cheats": [
            {
                **asdict(effect.cheat),
                "effect": effect.words,
                "refused": effect.refused or None,
                "figures": {name: asdict(each) for name, each in effect.figures.items()},
            }
            for effect in found.effects
        ],
        "lines": [{**asdict(line), "first": line.first, "across": list(line.across)} for line in found.lines],
        "walks": [asdict(walk) for walk in found.walks],
    }


def _setup(found: Compared, one: SetupSeen) -> dict[str, Any]:
    camera, scene = one.ready.scene.camera, one.ready.scene
    cast = {figure.name: figure for figure in scene.cast}
    return {
        "setup": one.name,
        "focal_mm": camera.lens.focal,
        "squeeze": camera.lens.squeeze,
        "stop": camera.lens.stop,
        "iso": camera.iso,
        "balance_k": camera.balance,
        "grey_lux": one.grey_lux,
        "exposed_over_stops": found.exposed_over(one),
        "angle_horizontal_deg": one.angles.horizontal_deg,
        "angle_vertical_deg": one.angles.vertical_deg,
        "focus_m": one.focus_m,
        "takes_in_m": one.wide_m,
        "haze": one.ready.haze is not None,
        "in_shot": [
            {
                "name": thing.name,
                "where": thing.where,
                "visible_share": thing.visible_share,
                "to_clear": None if thing.clears is None else thing.clears.words,
            }
            for thing in in_shot(one)
        ],
        "moons_in_picture": [moon.fixture for moon in moons_in_picture(one)],
        "figures": {
            name: {**_lit(lit), "looks": asdict(look_of(scene, one.ready.view, cast[name]))}
            for name, lit in one.lit.items()
        },
    }


def _lit(lit: Lit) -> dict[str, Any]:
    face = lit.face
    return {
        "in_frame": lit.in_frame,
        "unseen": lit.unseen or None,
        "shot_size": lit.subject.shot_size,
        "key": None if face.key is None else face.key.key,
        "key_lux": None if face.key is None else face.key.key_lux,
        "key_stops": face.key_stops,
        "fill_lux": None if face.key is None else face.key.fill_lux,
        "fill_stops": face.fill_stops,
        "hair_lux": face.hair_lux,
        "shoulders_lux": list(face.shoulders_lux),
        "rim_stops": face.rim_stops,
        "rim_by": face.rim_by,
        "behind_stops": lit.behind.stops,
        "moons": [
            {
                "fixture": source.fixture,
                "azimuth_deg": source.azimuth_deg,
                "height_deg": source.height_deg,
                "in_frame": source.way.words,
                "lux": lit.reach[source.fixture].lux,
                "reaches": lit.reach[source.fixture].reaches,
                "why_not": None if lit.reach[source.fixture].reaches else lit.reach[source.fixture].why_not,
            }
            for source in lit.moons
        ],
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "figure": row.figure,
        "measure": row.measure,
        "unit": row.unit,
        "values": {value.setup: value.amount for value in row.values},
        "lux": {value.setup: value.lux for value in row.values},
        "words": {value.setup: value.words for value in row.values},
        "against": row.reference,
        "differences": row.differences,
        "drifting": list(row.drifting),
        "lost": list(row.lost),
        "apart": row.apart,
        "meant": {setup: list(cheats) for setup, cheats in row.meant.items()},
        "verdict": row.verdict,
    }
