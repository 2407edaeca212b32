"""Facts: what is known of a mesh file as a script places it: its parts where they stand, what was taken for granted.

A file is read once for its places, its parts and what is said of it, as long as neither it nor its keys change.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from preview.build.imported.header import header_of
from preview.build.imported.naming import NamedPart, named_parts
from preview.build.imported.placing import placed
from preview.build.imported.reading import Beside, chunks_of
from preview.faults import UserError
from preview.script.models.pieces.imported import ImportedMesh

Box = tuple[tuple[float, float, float], tuple[float, float, float]]
Key = tuple[str, int, int, str]

MOST_KEPT = 64
LISTED = 12


@dataclass(frozen=True)
class Facts:
    """`boxes`: low and high corner, metres, of each named part, "" for the whole; `said`: sentences for the notes;
    `asked`: the files beside it that it names, there or not.
    """

    boxes: dict[str, Box]
    said: tuple[str, ...]
    asked: tuple[Path, ...]


_known: OrderedDict[Key, Facts] = OrderedDict()
_latest: dict[Key, list[NamedPart]] = {}


def facts_of(model: ImportedMesh, folder: Path) -> Facts:
    """Of a mesh whose `file` is relative to `folder`.

    Raises UserError in words that start with the key they are about.
    """
    path, key = _key(model, folder)
    if key not in _known:
        _read(path, key, model)
    return _known[key]


def parts_of(model: ImportedMesh, folder: Path) -> list[NamedPart]:
    """Its parts, in metres where they stand; read again if others were read since. Raises UserError likewise."""
    path, key = _key(model, folder)
    if key not in _latest:
        _read(path, key, model)
    # Handed over, so that only what is built of them stays in memory.
    return _latest.pop(key)


def _key(model: ImportedMesh, folder: Path) -> tuple[Path, Key]:
    path = (folder / model.file).expanduser()
    if not path.is_file():
        raise UserError(f"file: there is no file {path}")
    stat = path.stat()
    return path, (
        str(path.resolve()),
        stat.st_mtime_ns,
        stat.st_size,
        model.model_dump_json(exclude={"name"}),
    )


def _read(path: Path, key: Key, model: ImportedMesh) -> None:
    beside = Beside(path, coloured=model.takes_colours)
    try:
        chunks = chunks_of(path, header_of(path), beside)
    except OSError as problem:
        raise UserError(f"file: {path.name} cannot be read ({problem.strerror})") from problem
    except UserError as error:
        raise UserError(*(f"file: {fault}" for fault in error.faults)) from error
    stands = placed(path, chunks, model)
    parts = named_parts(stands.chunks, model.parts)
    # One at a time: two large scans need not be held both.
    _latest.clear()
    _latest[key] = parts
    _known[key] = Facts(_boxes(parts), (*stands.taken, *_said(path, parts, model)), tuple(beside.asked))
    while len(_known) > MOST_KEPT:
        _known.popitem(last=False)


def _boxes(parts: list[NamedPart]) -> dict[str, Box]:
    corners: dict[str, list[np.ndarray]] = {}
    for part in parts:
        for chunk in part.chunks:
            both = np.stack([chunk.vertices.min(axis=0), chunk.vertices.max(axis=0)])
            for label in {"", part.label}:
                corners.setdefault(label, []).append(both)
    boxes = {}
    for label, every in corners.items():
        low, high = np.min(every, axis=(0, 1)).tolist(), np.max(every, axis=(0, 1)).tolist()
        boxes[label] = ((low[0], low[1], low[2]), (high[0], high[1], high[2]))
    return boxes


def _said(path: Path, parts: list[NamedPart], model: ImportedMesh) -> list[str]:
    said = []
    coloured = [part for part in parts if part.material is None and any(_has_colour(c) for c in part.chunks)]
    if coloured and model.takes_colours:
        said.append(
            f"The colours of {path.name} are taken for what its surfaces reflect. If it is a scan, the light of its day is "
            "in them: its shadows stay, and its sunny side stays lighter."
        )
    labels = [part.label for part in parts if part.label]
    if len(labels) > 1:
        few = ", ".join(labels[:LISTED]) + (" …" if len(labels) > LISTED else "")
        said.append(f"Parts of {path.name}: {few}.")
    return said


def _has_colour(chunk: object) -> bool:
    return getattr(chunk, "colour", None) is not None or getattr(chunk, "picture", None) is not None
