"""Entry file: the arrays of one entry of the store, laid out in a file that shows whether it is whole.

64 bytes of a fixed head (magic, format version, length of the header, length of the file, checksum), the header as JSON
(key, kind, label; name, type, shape and offset of each array), then the arrays, each at a multiple of 64 bytes.
"""

from __future__ import annotations

import hashlib
import json
import math
import struct
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import DTypeLike, NDArray

Shape = tuple[int, ...]
Wanted = Mapping[str, tuple[Shape, DTypeLike]]
"""Shape and type of each array by its name."""
Bytes = NDArray[np.uint8]

MAGIC = b"preview layers\n\0"
VERSION = 1
"""Of this layout; a file of any other is not read."""
HEAD = struct.Struct("<16sIIQ32s")
CHECKSUM = slice(HEAD.size - 32, HEAD.size)
ALIGNED = 64
"""Bytes: a cache line, and wide enough for any processor's vectors."""

MOST_HEADER = 1 << 20
"""Bytes; a longer header is damage."""
ROW = 65536
"""Bytes that the checksum takes at a time; damage within so many, wherever they lie, never escapes it."""
BLOCK = 16 * ROW
"""Bytes read at a time."""
FACTOR = np.uint32(2654435761)
"""Odd, so that multiplying by it loses nothing; from memory, Knuth's choice for hashing by multiplication."""


class DamagedError(Exception):
    """A file that is no entry, or not all of one, or of another version."""


@dataclass(frozen=True)
class Place:
    """Where an array lies; `offset` in bytes from the start of the data."""

    name: str
    type: np.dtype[Any]
    shape: Shape
    offset: int


@dataclass(frozen=True)
class Layout:
    """The plan of an entry's file: `start` of the data and `length` of the whole in bytes."""

    kind: str
    label: str
    places: tuple[Place, ...]
    header: bytes
    start: int
    length: int


def layout(key: str, wanted: Wanted, *, kind: str, label: str) -> Layout:
    """The plan of a file that holds such arrays. Raises TypeError for an array of objects or of records."""
    places, end = [], 0
    for name, (shape, wanted_type) in wanted.items():
        type_ = np.dtype(wanted_type)
        if type_.hasobject or np.dtype(type_.str) != type_:
            raise TypeError(f"{name}: an array of {type_} cannot be stored")
        places.append(Place(name, type_, tuple(map(int, shape)), end))
        end = _aligned(end + type_.itemsize * math.prod(shape))
    header = json.dumps(
        {
            "key": key,
            "kind": kind,
            "label": label,
            "data": end,
            "arrays": [[place.name, place.type.str, place.shape, place.offset] for place in places],
        }
    ).encode()
    start = _aligned(HEAD.size + len(header))
    return Layout(kind, label, tuple(places), header, start, start + end)


def views(buffer: Any, plan: Layout) -> dict[str, NDArray[Any]]:
    """The arrays of a buffer that holds a whole file, read-only where the buffer is."""
    return {
        place.name: np.ndarray(place.shape, place.type, buffer=buffer, offset=plan.start + place.offset)
        for place in plan.places
    }


def seal(buffer: Any, plan: Layout) -> None:
    """Writes head and header into a buffer whose arrays are done and whose other bytes are zero."""
    whole: Bytes = np.frombuffer(buffer, np.uint8)
    head = HEAD.pack(MAGIC, VERSION, len(plan.header), plan.length, bytes(32))
    whole[: HEAD.size] = np.frombuffer(head, np.uint8)
    whole[HEAD.size : HEAD.size + len(plan.header)] = np.frombuffer(plan.header, np.uint8)
    found = checksum(whole[at : at + BLOCK] for at in range(0, len(whole), BLOCK))
    whole[CHECKSUM] = np.frombuffer(found, np.uint8)


def read_plan(file: BinaryIO, key: str) -> Layout:
    """The plan of a file, from its start; what follows the header is not looked at. Raises DamagedError, OSError."""
    file.seek(0)
    head = file.read(HEAD.size)
    if len(head) < HEAD.size:
        raise DamagedError("shorter than its head")
    magic, version, header_length, length, _ = HEAD.unpack(head)
    if (magic, version) != (MAGIC, VERSION):
        raise DamagedError("no entry of this version")
    if header_length > MOST_HEADER:
        raise DamagedError("a header that cannot be")
    try:
        header = file.read(header_length)
        told = json.loads(header)
        wanted = {name: (tuple(shape), type_) for name, type_, shape, _ in told["arrays"]}
        plan = layout(told["key"], wanted, kind=told["kind"], label=told["label"])
    except (ValueError, TypeError, KeyError, RecursionError) as error:
        raise DamagedError("a header that cannot be read") from error
    # Laid out anew it must come to the same bytes, which leaves no offset to trust.
    if told["key"] != key or plan.header != header or plan.length != length:
        raise DamagedError("a header that says otherwise")
    return plan


def verified_plan(file: BinaryIO, key: str) -> Layout:
    """The plan of a file that is whole to the last bit. Raises DamagedError, OSError."""
    plan = read_plan(file, key)
    file.seek(HEAD.size - 32)
    kept = file.read(32)
    if checksum(_blocks(file)) != kept:
        raise DamagedError("a checksum that differs")
    return plan


def checksum(blocks: Iterable[Bytes]) -> bytes:
    """32 bytes that differ when the blocks' content or length does; each block but the last a multiple of ROW.

    A polynomial in FACTOR modulo 2^32 for every column of 32 bits, of which SHA-256 is taken: several GB/s, where a
    cryptographic hash of all would be the slowest part of opening an entry.
    """
    sums = np.zeros(ROW // 4, "<u4")
    length = 0
    for block in blocks:
        length += len(block)
        if len(block) % ROW:
            block = np.concatenate([block, np.zeros(-len(block) % ROW, np.uint8)])
        for row in block.view("<u4").reshape(-1, ROW // 4):
            np.multiply(sums, FACTOR, out=sums)
            np.add(sums, row, out=sums)
    return hashlib.sha256(struct.pack("<Q", length) + sums.tobytes()).digest()


def _blocks(file: BinaryIO) -> Iterator[Bytes]:
    """A file's content as it was before its checksum was filled in.

    Read, not mapped: where the disk fails, a read raises OSError and a map kills the process.
    """
    file.seek(0)
    block, first = np.empty(BLOCK, np.uint8), True
    # mypy knows no readinto of a BinaryIO, which every open file has.
    while count := file.readinto(block.data):  # type: ignore[attr-defined]
        if first:
            block[CHECKSUM], first = 0, False
        yield block[:count]


def _aligned(offset: int) -> int:
    return -(-offset // ALIGNED) * ALIGNED
