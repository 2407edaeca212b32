"""Whether a head that a photometric file describes is whole: a file that can be read, and nothing that it says itself."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from preview.faults import Fault, UserError
from preview.light.photometry.read import web_of_file
from preview.script.document import Keys
from preview.script.models.heads import Head
from preview.script.words import listed

Found = Iterator[tuple[Keys, str]]

STRENGTHS = ("candela", "lumens", "reading")
SAID_BY_FILE = ("shape", "beam", "field")


def photometry_misfits(head: Head, keys: Keys, folder: Path) -> Found:
    """What is wrong with a head whose `photometry` is a file below `folder`."""
    for key in SAID_BY_FILE:
        if key in head.model_fields_set:
            yield (
                (*keys, key),
                f"a head of a photometric file has no {key}: the file says how its light spreads",
            )
    given = [key for key in STRENGTHS if getattr(head, key) is not None]
    if len(given) > 1:
        yield (
            (*keys, given[1]),
            f"the file gives the strength, or one of {listed(STRENGTHS)} in its place; {' and '.join(given)} are given",
        )
    if head.aperture is not None and head.size is not None:
        yield (*keys, "size"), "an opening is round by its aperture or has sides by its size, not both"
    assert head.photometry is not None
    if not head.photometry.strip():
        yield (*keys, "photometry"), "is the name of a photometric file, such as washer.ies"
        return
    try:
        web = web_of_file(folder / head.photometry)
    except UserError as error:
        yield (*keys, "photometry"), in_script(error)
        return
    for key in ("candela", "reading"):
        if getattr(head, key) is not None and web.axial <= 0.0:
            yield (*keys, key), "by its file this head gives no light straight ahead; give it lumens"


def in_script(error: UserError) -> str:
    """What is wrong with a photometric file, told where a script names it: the file and its line, then the sentence."""
    told = []
    for fault in error.faults:
        assert isinstance(fault, Fault)
        name = "".join(letter if letter.isprintable() else "?" for letter in fault.file.name)
        told.append(f"{name}{'' if fault.line is None else f':{fault.line}'}: {fault.message}")
    return "; ".join(told)
