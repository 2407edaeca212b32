"""Look data: a look's cell as plain values, units in the names, and as the YAML that a script takes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import yaml

from preview.commands.looks.figures import Group, Lamp, LookFigures
from preview.commands.looks.sweeps import Change
from preview.commands.looks.words import mired_apart
from preview.script.scene import Scene


def cell_data(
    name: str,
    scene: Scene,
    change: Change | None,
    figures: LookFigures,
    differences: Sequence[str],
    changes: Sequence[tuple[str, str, str, str]],
) -> dict[str, Any]:
    """`look`: the YAML of it to paste into a script, None for what is in it already."""
    camera = scene.camera
    return {
        "name": name,
        "in_script": scene.look,
        "look": None if change is None else pasted(name, change),
        "camera": {
            "iso": camera.iso,
            "stop": camera.lens.stop,
            "balance_k": camera.balance,
            "tint": camera.tint,
        },
        "fixtures": [{"name": one.name, "level": one.level, "kelvin": one.kelvin} for one in scene.fixtures],
        "set": [
            {"what": f"{thing}, {what}", "from": before, "to": after}
            for thing, what, before, after in changes
        ],
        "differences": list(differences),
        "faces": [
            {
                "figure": face.figure,
                "lux": face.front_lux,
                "stops": face.front_stops,
                "key": None if face.key is None else face.key.key,
                "key_stops": face.key_stops,
                "fill_stops": face.fill_stops,
                "key_to_fill_stops": None
                if face.key is None or face.key.ratio is None
                else face.key.ratio.stops,
                "rim_stops": face.rim_stops,
            }
            for face in figures.faces
        ],
        "read_at": list(figures.places),
        "moon": _group(figures.moon),
        "practicals": _group(figures.practicals),
        "moon_over_practicals_stops": list(figures.moon_over_practicals),
        "mired_apart": mired_apart(figures),
        "practicals_in_frame": [_lamp(lamp) for lamp in figures.lamps],
        "under_floor_share": figures.under_share,
        "clipped_share": figures.clipped_share,
    }


def _group(group: Group | None) -> dict[str, Any] | None:
    if group is None:
        return None
    colour = group.colour
    return {
        "fixtures": list(group.fixtures),
        "lux": list(group.lux),
        "kelvin": None if colour is None or colour.hue else colour.kelvin,
        "mired": None if colour is None or colour.hue else colour.mired,
        "duv": None if colour is None else colour.duv,
        "off_white_mired": group.off_white_mired,
        "reads": group.reads,
    }


def _lamp(lamp: Lamp) -> dict[str, Any]:
    return {
        "name": lamp.name,
        "in_frame": lamp.clipped is not None,
        "clipped_share": lamp.clipped,
        "over_stops": lamp.over_stops if lamp.clipped else None,
    }


def pasted(name: str, change: Change) -> str:
    """A look as a script has it below its top level: `looks: {NAME: {…}}`."""
    words = re.sub(r"\s+", " ", re.sub(r"[^\w %+,−-]", " ", name.replace(".", "-"))).strip()[:60].strip()
    text: str = yaml.safe_dump(
        {"looks": {words: change}}, allow_unicode=True, sort_keys=False, default_flow_style=False, width=100
    )
    return text
