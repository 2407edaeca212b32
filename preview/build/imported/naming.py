"""Naming: which chunks of a file are one part of the piece, what that is called, and which material the script gives it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

from preview.build.imported.reading import Chunk
from preview.faults import UserError

MOST_PARTS = 200
"""Named parts of a mesh; a file of more is one part, but for those that the script names."""
LISTED = 15


@dataclass(frozen=True)
class NamedPart:
    """`label`: what the part is called in places, "" for what has no name; `material`: as the script gives it, or None."""

    label: str
    material: str | None
    chunks: tuple[Chunk, ...]


def label_of(chunk: Chunk) -> str:
    """A chunk's nearest name, without the letters that places are written with."""
    for name in chunk.names:
        label = "".join("_" if letter in ".[]/\\:" or not letter.isprintable() else letter for letter in name)
        if label.strip(" _"):
            return label.strip()[:60]
    return ""


def named_parts(chunks: Sequence[Chunk], materials: Mapping[str, str]) -> list[NamedPart]:
    """Chunks by label and material. UserError, starting with `parts`, for names in `materials` that nothing bears."""
    labels = [label_of(chunk) for chunk in chunks]
    if len(set(labels)) == 1 and not materials:
        return [NamedPart(labels[0], None, tuple(chunks))]
    used: set[str] = set()
    parts: dict[tuple[str, str | None], list[Chunk]] = {}
    many = len(set(labels)) > MOST_PARTS
    for chunk, label in zip(chunks, labels, strict=True):
        pattern = next((pattern for pattern in materials if bears(chunk, label, pattern)), None)
        used |= {other for other in materials if bears(chunk, label, other)}
        material = None if pattern is None else materials[pattern]
        parts.setdefault(("" if many and pattern is None else label, material), []).append(chunk)
    strangers = [pattern for pattern in materials if pattern not in used]
    if strangers:
        told = sorted({label for label in labels if label} | {name for c in chunks for name in c.names[-1:]})
        there = ", ".join(told[:LISTED]) + (" …" if len(told) > LISTED else "")
        raise UserError(
            *(
                f'parts: no part "{stranger}"; the file has {there or "no names in it"}'
                for stranger in strangers
            )
        )
    return [NamedPart(label, material, tuple(some)) for (label, material), some in parts.items()]


def bears(chunk: Chunk, label: str, pattern: str) -> bool:
    """Whether a chunk goes by a name, in which * stands for anything; capitals count for nothing."""
    wanted = pattern.strip().lower()
    return any(fnmatchcase(name.strip().lower(), wanted) for name in (label, *chunk.names))
