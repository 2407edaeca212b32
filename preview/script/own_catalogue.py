"""Own catalogue: the user's file of heads, gels, cloths and lamps, laid over the program's rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from preview.faults import Fault, UserError
from preview.script import document
from preview.script.document import FileKind, Keys, Node, child, locate, path_text, plain
from preview.script.fields import Model
from preview.script.models.catalogue_file import (
    CatalogueFile,
    ClothEntry,
    GelEntry,
    GivenByLens,
    HeadEntry,
    LampEntry,
)
from preview.script.quantities import shown
from preview.script.sense_of_rows import Entries, row_misfits
from preview.script.words import faults_of
from preview.trade.catalogue import Catalogue, ClothRow, gel_row, usual
from preview.trade.head_row import HeadRow, Output, Setting

CATALOGUE = FileKind("catalogue", "heads, gels, cloths, lamps")
MOST_ROWS = 1000
"""Rows of each kind."""

Entry = TypeVar("Entry", bound=Model)


@dataclass(frozen=True)
class Own:
    """The rows that a script may choose from, and what is wrong with those of its own.

    `unread`: names of rows that could not be read, so that what refers to them is not called unknown; None where the
    whole file could not, so that any name may be in it.
    """

    catalogue: Catalogue
    faults: tuple[Fault, ...] = ()
    unread: frozenset[str] | None = frozenset()

    def has(self, name: str, known: Mapping[str, Any]) -> bool:
        """Whether a name is among the known rows, or may be in what could not be read."""
        return name in known or self.unread is None or name in self.unread


def catalogue_of(path: Path, root: Node) -> Own:
    """What the script at `path`, with this document, chooses from."""
    entry = child(root, "catalogue")
    name = None if entry is None else entry.node.value
    if entry is None or not isinstance(name, str):
        return Own(usual())
    file = path.parent / name
    if not name.strip() or "\0" in name or not file.is_file():
        why = f"there is no file {shown(name)} beside the script"
        return Own(usual(), (Fault(path, entry.line, "catalogue", why),), None)
    return read_catalogue(file)


def read_catalogue(file: Path) -> Own:
    """The program's rows with those of a file added, or in their place; never a UserError: faults come with it."""
    try:
        loaded = document.load(file, CATALOGUE)
    except UserError as error:
        faults = [
            fault if isinstance(fault, Fault) else Fault(file, None, "", fault) for fault in error.faults
        ]
        return Own(usual(), tuple(faults), None)
    data = plain(loaded.root)
    entries = Entries(
        _entries(data, "heads", HeadEntry),
        _entries(data, "gels", GelEntry),
        _entries(data, "cloths", ClothEntry),
        _entries(data, "lamps", LampEntry),
    )
    wrong = dict.fromkeys((*_misread(data), *_names(data), *row_misfits(entries, file.parent)))
    faulty = {str(keys[1]) for keys, _ in wrong if len(keys) > 1}

    def sound(rows: Mapping[str, Entry]) -> Iterator[tuple[str, Entry]]:
        return ((name, entry) for name, entry in rows.items() if name not in faulty)

    program = usual()
    catalogue = program.with_rows(
        heads={name: _head(name, entry, file) for name, entry in sound(entries.heads)},
        gels={name: gel_row(name, _given(entry, file)) for name, entry in sound(entries.gels)},
        cloths={name: ClothRow(name, **_given(entry, file)) for name, entry in sound(entries.cloths)},
        lamps={
            name: replace(
                program.lamps[name], **entry.model_dump(include=entry.model_fields_set, exclude_none=True)
            )
            for name, entry in sound(entries.lamps)
        },
    )
    told = [_fault(file, loaded.root, keys, message) for keys, message in wrong]
    ordered = sorted([*loaded.faults, *told], key=lambda fault: fault.line or 0)
    return Own(catalogue, tuple(ordered), frozenset(faulty))


def _misread(data: Any) -> Iterator[tuple[Keys, str]]:
    try:
        CatalogueFile.model_validate(data)
    except ValidationError as error:
        yield from faults_of(error, CatalogueFile, data)


def _names(data: dict[str, Any]) -> Iterator[tuple[Keys, str]]:
    """What is wrong with names of rows."""
    for section in CatalogueFile.model_fields:
        for number, name in enumerate(_section(data, section)):
            if not name.strip() or len(name) > 60 or not name.isprintable():
                yield (section, name), f"{shown(name)} is no name for a row: 1 to 60 printable letters"
            if number == MOST_ROWS:
                yield (section,), f"more than {MOST_ROWS} rows"
    kinds = usual().lamps
    for name in _section(data, "lamps"):
        if name not in kinds:
            yield ("lamps", name), f"no practical of the kind {shown(name)}; there is {', '.join(kinds)}"


def _section(data: dict[str, Any], section: str) -> dict[str, Any]:
    rows = data.get(section)
    return rows if isinstance(rows, dict) else {}


def _entries(data: dict[str, Any], section: str, model: type[Entry]) -> dict[str, Entry]:
    """The rows of a section that can be read one by one."""
    read: dict[str, Entry] = {}
    for name, item in _section(data, section).items():
        try:
            read[name] = model.model_validate(item)
        except ValidationError:
            continue
    return read


def _given(entry: GelEntry | ClothEntry, file: Path) -> dict[str, Any]:
    return {**entry.model_dump(), "source": entry.source or file.name}


def _head(name: str, entry: HeadEntry, file: Path) -> HeadRow:
    lenses = entry.lenses or {"": entry}
    return HeadRow(
        name,
        entry.shape,
        entry.watts,
        entry.kelvin,
        entry.source or file.name,
        outputs={}
        if entry.photometry is not None
        else {lens: _output(each) for lens, each in lenses.items()},
        usual=entry.usual or next(iter(lenses)),
        aperture=entry.aperture,
        size=entry.size,
        body=entry.body,
        weight=entry.weight,
        lamp=entry.lamp,
        kelvins=entry.kelvins,
        dims=entry.dims,
        flicker=entry.flicker,
        ballast=entry.ballast,
        setting=entry.setting,
        photometry=None if entry.photometry is None else file.parent / entry.photometry,
    )


def _output(given: GivenByLens) -> Output:
    if given.flood is None or given.spot is None:
        return Output(_setting(given), None, given.aperture)
    return Output(_setting(given.flood), _setting(given.spot), given.aperture)


def _setting(given: Any) -> Setting:
    return Setting(given.candela, given.beam, given.field_angle)


def _fault(file: Path, root: Node, keys: Keys, message: str) -> Fault:
    line, where = locate(root, keys)
    return Fault(file, line, path_text(where), message)
