"""Imported meshes: their origin is a place; what else has a name, their files tell."""

from __future__ import annotations

from pathlib import Path

from preview.script.document import Keys
from preview.script.families.family import UP, Family, Found, Named
from preview.script.models.pieces.imported import ImportedMesh
from preview.script.models.pieces.piece import Piece
from preview.script.scene import Anchor
from preview.script.words import unknown
from preview.trade import catalogue


def _places_of_mesh(name: str, mesh: ImportedMesh, azimuth: float) -> Named:
    yield name, Anchor((*mesh.at, mesh.height))


def _places_in_file(name: str, mesh: ImportedMesh, folder: Path) -> Named:
    """The middle of every named part, then the middle and the top of all of it."""
    # Heavy: the file is read for it.
    from preview.build.imported.facts import facts_of

    boxes = facts_of(mesh, folder).boxes
    for label, (low, high) in boxes.items():
        x, y, z = ((a + b) / 2.0 for a, b in zip(low, high, strict=True))
        if label:
            yield f"{name}.{label}", Anchor((x, y, z))
    low, high = boxes[""]
    x, y, z = ((a + b) / 2.0 for a, b in zip(low, high, strict=True))
    yield f"{name}.middle", Anchor((x, y, z))
    yield f"{name}.top", Anchor((x, y, high[2]), UP, (high[0] - low[0], high[1] - low[1]))


def _misfits_of_mesh(mesh: ImportedMesh, keys: Keys) -> Found:
    known = catalogue.names("materials")
    for part, material in mesh.parts.items():
        if material not in known:
            yield (*keys, "parts", part), unknown("material", material, known)
    if mesh.colours and mesh.material is not None:
        yield (*keys, "colours"), "either the file's colours or one material: leave out `material`"
    if mesh.crop is not None and any(a == b for a, b in zip(mesh.crop.from_, mesh.crop.to, strict=True)):
        yield (*keys, "crop"), "this box has no room in it"


IMPORTED: dict[type[Piece], Family] = {
    ImportedMesh: Family(_places_of_mesh, misfits=_misfits_of_mesh, in_file=_places_in_file),
}
