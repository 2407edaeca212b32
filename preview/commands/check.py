"""Check: a script validated in every setup and look, its set built once, told as an inventory."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from math import log
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from preview.build.assemble import assemble
from preview.build.world import World
from preview.commands.notes.fixture_rows import drawn_in_all, fixture_rows
from preview.commands.notes.notes import notes
from preview.commands.notes.photometric import photometric_notes
from preview.commands.notes.unexplained import unexplained_notes
from preview.commands.table import plain_table
from preview.script import written
from preview.script.explain import defaults
from preview.script.models.air import KOSCHMIEDER, Haze
from preview.script.models.cast import Figure
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.growth import Shrubs, Trees
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.models.pieces.piece import Piece
from preview.script.patches import MAIN
from preview.script.poses import PoseName
from preview.script.read import read_script
from preview.script.scene import Scene

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

RIGHT = {
    "triangles",
    "metres tall",
    "level",
    "watts",
    "kelvin",
    "mm",
    "stop",
    "ISO",
    "fps",
    "balance",
    "to focus",
}
"""Headings of columns that hold numbers."""
SIZES = 960, 3840
"""Pixels across of the usual frame and of a large one."""


def check(path: Path, *, explain: bool) -> list[RenderableType]:
    """What is in a scene, as rich renderables; with `explain`, every value that was filled in by default.

    Raises UserError with every fault of the script in any setup or look, else with those of its mesh files.
    """
    from rich.text import Text

    script = read_script(path)
    setups, looks = script.setups, script.looks
    scenes = [script.scene(setup=setup) for setup in setups]
    in_looks = [script.scene(look=look) for look in looks]
    main = scenes[0]
    world = assemble(main)
    parts: list[RenderableType] = [Text(main.title, style="bold"), Text(_variants(setups[1:], looks)), Text()]
    for headings, rows in (
        (("piece", "kind", "triangles"), _set(main, world)),
        (("cast", "pose", "metres tall", "faces", "triangles"), _cast(main, world)),
        (("fixture", "source", "set to", "level", "watts", "kelvin", "through"), fixture_rows(main)),
        (("setup", "format", "mm", "stop", "ISO", "fps", "balance", "to focus"), _cameras(scenes)),
    ):
        if rows:
            parts += [_table(headings, rows), Text()]
    said = (
        *drawn_in_all(main),
        *photometric_notes(main),
        *notes([*scenes, *in_looks]),
        *unexplained_notes(scenes),
        *_air(scenes),
        _marks(main),
        _room(main, world),
    )
    parts += [Text(line) for line in said]
    if explain:
        parts += [Text(), Text("Filled in by default, in the script's own setup:"), _explained(main)]
    return [*parts, Text("No faults.", style="bold")]


def _variants(setups: Sequence[str], looks: Sequence[str]) -> str:
    """`Setups: main, tight. Looks: colder.`"""
    told = f"Setups: {', '.join((MAIN, *setups))}." if setups else "One setup, the script's own camera."
    return f"{told} Looks: {', '.join(looks)}." if looks else told


def _set(scene: Scene, world: World) -> list[tuple[str, ...]]:
    counts = _triangles(world)
    rows = [(name, _kind(piece), _grouped(counts[name])) for name, piece in scene.set]
    return [*rows, ("whole set and cast", "", _grouped(len(world.faces)))]


def _triangles(world: World) -> Counter[str]:
    """Triangles by piece or figure: a part is named after what it belongs to, then a full stop."""
    counts: Counter[str] = Counter()
    of_part = np.bincount(world.part_of_face, minlength=len(world.names))
    for name, count in zip(world.names, of_part.tolist(), strict=True):
        counts[name.partition(".")[0]] += count
    return counts


def _grouped(count: int) -> str:
    """`12 512`, its thousands held together by narrow spaces."""
    return f"{count:,}".replace(",", "\u202f")


def _kind(piece: Piece) -> str:
    kind = next(kind for kind, model in PIECES.items() if type(piece) is model).replace("_", " ")
    if isinstance(piece, Trees):
        return f"1 {piece.kind} tree" if piece.number == 1 else f"{piece.number} {piece.kind} trees"
    if isinstance(piece, Shrubs):
        return f"1 {piece.kind} shrub" if piece.number == 1 else f"{piece.number} {piece.kind} shrubs"
    if isinstance(piece, ImportedMesh):
        return f"{kind} {piece.file}"
    return kind


STANDS: Final[dict[PoseName, str]] = {
    "stand": "stands",
    "walk": "walks",
    "sit": "sits",
    "lean": "leans",
    "crouch": "crouches",
    "lantern": "holds a lantern",
}


def _cast(scene: Scene, world: World) -> list[tuple[str, ...]]:
    counts = _triangles(world)
    return [
        (
            figure.name,
            STANDS[figure.pose],
            f"{figure.height:.2f}",
            _field(figure, "facing"),
            _grouped(counts[figure.name]),
        )
        for figure in scene.cast
    ]


def _field(figure: Figure, name: str) -> str:
    """A value of a figure as its script would write it."""
    return written.value(getattr(figure, name), type(figure).model_fields[name].metadata)


def _cameras(scenes: Iterable[Scene]) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for scene in scenes:
        camera = scene.camera
        sensor = camera.format
        focus = camera.focus if camera.focus is not None else camera.aim
        distance = (
            focus
            if isinstance(focus, float)
            else float(np.linalg.norm(scene.point(focus) - scene.point(camera.at)))
        )
        rows.append(
            (
                scene.setup,
                sensor if isinstance(sensor, str) else f"{sensor.width:g} × {sensor.height:g} mm",
                f"{camera.lens.focal:g}",
                f"T{camera.lens.stop:g}",
                f"{camera.iso:g}",
                f"{camera.shutter.fps:g}",
                f"{camera.balance:g} K",
                f"{distance:.1f} m",
            )
        )
    return rows


def _air(scenes: Sequence[Scene]) -> list[str]:
    """A line about the haze of the script's own setup, and one for each setup in which it is another."""
    lines = [] if scenes[0].haze is None else [f"Haze: {_haze(scenes[0].haze)}."]
    for scene in scenes[1:]:
        if scene.haze != scenes[0].haze:
            lines.append(f"Haze in {scene.setup}: {'none' if scene.haze is None else _haze(scene.haze)}.")
    return lines


def _haze(haze: Haze) -> str:
    """`one sees 80 m; half of a light is left after 14 m; 37 % as thick every 6 m above 0 m`."""
    visible, half = KOSCHMIEDER / haze.extinction, log(2) / haze.extinction
    told = f"one sees {visible:.3g} m; half of a light is left after {half:.2g} m"
    if haze.falloff is None:
        return told
    return f"{told}; 37 % as thick every {haze.falloff:g} m above {haze.from_:g} m"


def _marks(scene: Scene) -> str:
    if scene.marks:
        return f"Marks: {', '.join(mark.name for mark in scene.marks)}."
    return (
        "No marks: the meter is held at every face."
        if scene.cast
        else "No marks, no faces: nothing is metered."
    )


def _room(scene: Scene, world: World) -> str:
    """`A frame of 960 pixels takes 0.3 GB of memory and 70 MB of the cache; one of 3840, 1.4 GB and 1.2 GB.`"""
    from preview.camera.framing import view_of
    from preview.trace.quality import QUALITIES
    from preview.trace.room import Counts, gigabytes, need_of

    aspect, fixtures = view_of(scene).aspect, len(scene.fixtures)
    usual, large = (
        need_of(
            Counts(len(world.faces), len(world.vertices), fixtures, fixtures, width, round(width / aspect)),
            quality=QUALITIES["look"],
            haze=scene.haze is not None,
        )
        for width in SIZES
    )
    return (
        f"A frame of {SIZES[0]} pixels takes about {gigabytes(usual.memory)} of memory and {gigabytes(usual.disk)} of "
        f"the cache; one of {SIZES[1]}, {gigabytes(large.memory)} and {gigabytes(large.disk)}."
    )


def _explained(scene: Scene) -> Table:
    return _table(("value", "is", "because"), defaults(scene))


def _table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    return plain_table(headings, rows, right=RIGHT)
