"""Draw: a cell as a picture: its script written, read, framed, traced and developed, as any scene is."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from preview.build.assemble import assemble
from preview.build.world import World
from preview.camera.develop import picture, scene_linear
from preview.camera.exposure import exposure_scale
from preview.commands.picture_book.cell import SUBJECT, Cell, Framing
from preview.commands.picture_book.heads import beam_on_wall
from preview.commands.prepare import prepare
from preview.commands.shot import seen
from preview.script.read import read_scene
from preview.script.scene import Scene
from preview.trace.digest import digest, program_digest
from preview.trace.mix import mixed
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.store import AnyStore

Picture = NDArray[np.uint8]
Floats = NDArray[np.float64]

QUALITY = Quality(0.5, rounds=2, bounce_rays=6, bounce_step=6, bounces=1)
SCENE = "cell.yaml"
MARGIN = 1.05
"""How much wider than its subject a frame is."""
GROUND: dict[Framing, str] = {"ground": "soil"}
"""What lies under a cell's subject where it is not asphalt."""
FOCAL_MM = 40.0
WALL_STOPS = 1.5
"""Stops over grey of the middle of a beam on the wall."""

NIGHT: tuple[dict[str, Any], ...] = (
    {"name": "key", "moon": {"azimuth": 238, "elevation": 40, "lux": 150, "size": 14, "kelvin": 4600}},
    {
        "name": "rim",
        "moon": {"azimuth": 42, "elevation": 32, "lux": 120, "size": 0.6, "kelvin": 6500, "visible": False},
    },
    {"name": "sky", "sky": {"lux": 8}},
)
"""The light of the book: a soft key from 45 degrees, a cooler rim from behind, a dim sky."""
BENCH: tuple[dict[str, Any], ...] = (
    {"name": "rake", "moon": {"azimuth": 258, "elevation": 24, "lux": 420, "size": 2, "kelvin": 5000}},
    {"name": "fill", "moon": {"azimuth": 150, "elevation": 35, "lux": 30, "size": 25, "kelvin": 5000}},
    {"name": "sky", "sky": {"lux": 14, "kelvin": 5000}},
)
"""That of the materials' bench: it rakes the panel by ten degrees, and a weak one fills."""

LAMPS = {
    "lamp": "bulb",
    "lantern": "lantern",
    "head.left": "headlamp",
    "head.right": "headlamp",
}
"""What shines at a place of this name."""
LEVELS = {"headlamp": "2 %"}
"""Of what would blind the camera."""

FROM: dict[Framing, tuple[float, float]] = {
    "piece": (203.0, 11.0),
    "ground": (200.0, 28.0),
    "figure": (190.0, 3.0),
    "face": (188.0, 1.0),
    "bench": (180.0, 14.0),
}
"""Azimuth and elevation, degrees, from which the camera looks at each."""
FACE_ACROSS = 0.31
"""Metres that the frame is wide round a face."""


def drawn(cell: Cell, *, width: int, height: int, store: AnyStore) -> Picture:
    """The picture (height, width, 3) of a cell; from the store, where nothing that it depends on has changed."""
    key = digest("picture book", program_digest(), cell, NIGHT, BENCH, width, height)
    kept = store.load(key)
    if kept is not None:
        return np.array(kept["picture"])
    with TemporaryDirectory(prefix="preview-") as folder:
        for name, text in cell.files.items():
            (Path(folder) / name).write_text(text, encoding="utf-8")
        made = _made(cell, Path(folder), width, height)
    store.put(key, {"picture": made}, kind="picture", label=f"catalogue: {cell.caption}")
    return made


def script_of(cell: Cell, camera: Mapping[str, Any]) -> dict[str, Any]:
    """The whole script of a cell."""
    bare = cell.framing in ("bench", "beam") or any("ground" in piece for piece in cell.set)
    under = {"ground": {"material": GROUND.get(cell.framing, "asphalt"), "size": [4000, 4000]}}
    light = {"bench": BENCH, "beam": ()}.get(cell.framing, NIGHT)
    return {
        "title": cell.caption,
        "set": [*([] if bare else [under]), *_plain(cell.set)],
        "cast": _plain(cell.cast),
        "camera": dict(camera),
        "fixtures": [*_plain(light), *_plain(cell.fixtures)],
    }


def _plain(items: Any) -> list[Any]:
    return [dict(item) for item in items]


def _made(cell: Cell, folder: Path, width: int, height: int) -> Picture:
    path = folder / SCENE
    camera = _camera(np.array([0.0, -6.0, 1.6]), np.array([0.0, 0.0, 1.0]), width, height)
    scene = _read(path, script_of(cell, camera))
    if cell.framing == "beam":
        scale = np.float32(0.18 * 2.0**WALL_STOPS / exposure_scale(scene.camera))
        return picture(scene_linear(beam_on_wall(scene, width=width, height=height) * scale, scene.camera))
    at, aim = _placed(cell, scene, width / height)
    script = script_of(cell, _camera(at, aim, width, height))
    script["fixtures"] += lamps_of(cell, scene)
    ready = prepare(_read(path, script))
    plate = trace(ready.stage, ready.lights, ready.view, width=width, height=height, quality=QUALITY)
    radiance = seen(ready, plate, mixed(plate, ready.lights))
    return picture(scene_linear(radiance, ready.scene.camera))


def lamps_of(cell: Cell, scene: Scene) -> list[dict[str, Any]]:
    """Practicals at the named places of the subject where something shines."""
    kinds = {name: kind for name, kind in LAMPS.items() if f"{SUBJECT}.{name}" in scene.anchors}
    if "lamp" in kinds and any("lamp_post" in piece for piece in cell.set):
        kinds["lamp"] = "street_lamp"
    return [
        {
            "name": f"{SUBJECT} {name.replace('.', ' ')}",
            "practical": {"kind": kind, "at": f"{SUBJECT}.{name}"},
            "level": LEVELS.get(kind, "100 %"),
        }
        for name, kind in kinds.items()
    ]


def _read(path: Path, script: Mapping[str, Any]) -> Scene:
    path.write_text(yaml.safe_dump(dict(script), sort_keys=False, allow_unicode=True), encoding="utf-8")
    return read_scene(path)


def _camera(at: Floats, aim: Floats, width: int, height: int) -> dict[str, Any]:
    return {
        "lens": {"focal": FOCAL_MM, "stop": 5.6, "glare": 0.4},
        "at": [round(float(x), 4) for x in at],
        "aim": [round(float(x), 4) for x in aim],
        "aspect": round(width / height, 4),
        "iso": 3200,
        "balance": 5000,
    }


def _placed(cell: Cell, scene: Scene, aspect: float) -> tuple[Floats, Floats]:
    """Where the camera stands and what it aims at, so that all of the subject is in frame."""
    azimuth, elevation = (radians(angle) for angle in FROM[cell.framing])
    towards = np.array([sin(azimuth) * cos(elevation), cos(azimuth) * cos(elevation), sin(elevation)])
    across, upright = _tangents(aspect)
    if cell.framing == "face":
        face = scene.anchors[f"{SUBJECT}.face"].position
        return np.array(face) + towards * (0.5 * FACE_ACROSS / across), np.array(face)
    corners = _subject(assemble(scene), bench=cell.framing == "bench")
    low, high = corners.min(axis=0), corners.max(axis=0)
    aim = 0.5 * (low + high)
    right = np.array([cos(azimuth), -sin(azimuth), 0.0]) * -1.0
    up = np.cross(towards, right) * -1.0
    away = corners - aim
    needed = np.maximum(np.abs(away @ right) / across, np.abs(away @ up) / upright) * MARGIN + away @ towards
    at = aim + towards * float(needed.max())
    at[2] = max(at[2], 0.25)
    return at, aim


def _tangents(aspect: float) -> tuple[float, float]:
    """Of half the angles of view, across and upright: the format's height at FOCAL_MM, or its width."""
    wide, tall = 24.89, 13.87
    width = min(wide, tall * aspect)
    return width / 2 / FOCAL_MM, width / aspect / 2 / FOCAL_MM


def _subject(world: World, *, bench: bool) -> Floats:
    """Corners (n, 3) m of the parts that a cell shows."""
    names = (SUBJECT, "panel") if bench else (SUBJECT,)
    mine = [part for part, name in enumerate(world.names) if name.partition(".")[0] in names]
    faces = np.isin(world.part_of_face, mine)
    return world.vertices[np.unique(world.faces[faces])].astype(np.float64)
