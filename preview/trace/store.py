"""Store: what has been traced, kept on disk under the digest of all that it depends on.

An entry is one file of arrays (`entry_file`). It appears whole, by a rename, and is verified each time it is opened, so
neither two runs at once nor a kill at any moment can make a wrong picture: at worst an entry is made again.
"""

from __future__ import annotations

import errno
import math
import mmap
import os
import re
import threading
import time
import weakref
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.faults import UserError
from preview.trace.entry_file import (
    DamagedError,
    Layout,
    Wanted,
    layout,
    read_plan,
    seal,
    verified_plan,
    views,
)
from preview.trace.part_file import SUFFIX as PART_SUFFIX
from preview.trace.part_file import PartFile, free_room, has_room, open_part, removed, sweep

Arrays = Mapping[str, NDArray[Any]]

SUFFIX = ".layers"
MOST_IN_MEMORY = 2_000_000_000
"""Bytes that arrays may take in memory where the disk cannot hold them."""
UNCOUNTED = 1 / 32
"""Share of the bound that may be kept before the folder is counted again: a look at thousands of files takes its time."""
DAMAGED = "damaged"
"""The kind of an entry whose header cannot be read."""
PASSING = ("points", "set")
"""Kinds of which a frame is not said to need more room: they are soon made again."""
_KEY = re.compile("[0-9a-f]{16,128}")


@dataclass(frozen=True)
class Entry:
    """`label` is told to people, what is before a colon being the scene; `used` in seconds since 1970."""

    key: str
    kind: str
    label: str
    bytes: int
    used: float


class Store:
    """Entries in a folder, together held to `most_bytes` by removing those that were used longest ago.

    Kept beyond the bound: what this process has open, and the entry that was made last. A folder that cannot be
    written or a disk without room stop nothing: `making` gives arrays in memory then, up to `most_in_memory` bytes at
    a time, and `warning` says so in a sentence. May be used by several threads and by several processes at once.
    """

    def __init__(self, folder: Path, *, most_bytes: int, most_in_memory: int = MOST_IN_MEMORY) -> None:
        self.folder = Path(os.path.abspath(folder))
        self.most_bytes = most_bytes
        self.warning: str | None = None
        self.most_in_memory = most_in_memory
        self._served: dict[str, int] = {}
        self._open: weakref.WeakValueDictionary[str, mmap.mmap] = weakref.WeakValueDictionary()
        self._in_memory: list[weakref.ref[NDArray[np.uint8]]] = []
        self._swept = False
        self._room = 0.0
        self._lock = threading.RLock()

    def load(self, key: str) -> Arrays | None:
        """The arrays of an entry, read-only maps of its file; None when there is none, or none that is whole.

        A damaged entry is removed. One that is found counts as used now.
        """
        path = self._path(key)
        try:
            with open(path, "rb") as file:
                plan = verified_plan(file, key)
                whole = mmap.mmap(file.fileno(), plan.length, access=mmap.ACCESS_READ)
        except DamagedError:
            removed(path)
            return None
        except (OSError, ValueError):  # ValueError: cut short since it was verified
            return None
        with suppress(OSError):
            os.utime(path)
        with self._lock:
            self._open[key] = whole
            self._serve(key, plan)
        return views(whole, plan)

    @contextmanager
    def making(self, key: str, wanted: Wanted, *, kind: str, label: str) -> Iterator[Arrays]:
        """Arrays to be filled, zero at first, that become the entry when the block ends well.

        `wanted`: name to (shape, dtype). `label`: `SCENE SETUP: WHAT`. The arrays lie in a file, so that what is
        written need not stay in memory; after the block they are read-only and stay good. On any exception nothing is
        kept. Where two make the same entry, the last remains.

        Raises UserError where neither disk nor memory can hold the arrays.
        """
        plan = layout(key, wanted, kind=kind, label=label)
        part = self._part(key, plan)
        arrays = views(self._memory(plan) if part is None else part.map, plan)
        try:
            yield arrays
        except BaseException:
            if part is not None:
                part.drop()
            raise
        for array in arrays.values():
            array.flags.writeable = False
        if part is not None:
            self._keep(key, part, plan)

    def put(self, key: str, arrays: Arrays, *, kind: str, label: str) -> None:
        """Makes an entry of arrays that there are already."""
        wanted = {name: (array.shape, array.dtype) for name, array in arrays.items()}
        with self.making(key, wanted, kind=kind, label=label) as places:
            for name, array in arrays.items():
                places[name][...] = array

    def entries(self) -> list[Entry]:
        """What there is, used last first; one whose header cannot be read is of the kind DAMAGED."""
        return [self._told(entry) for entry in reversed(self._by_use())]

    def remove(self, key: str) -> None:
        """Removes an entry if it is there; arrays of it that are open stay good."""
        removed(self._path(key))

    def clear(self) -> int:
        """Removes every entry and what stopped runs have left; returns the bytes freed."""
        freed = sweep(self._parts())
        for entry in self._by_use():
            freed += entry.bytes if removed(self._path(entry.key)) else 0
        return freed

    def room(self) -> float:
        """Bytes that new entries can take on the disk once old ones have gone; inf where nobody knows."""
        there = next((path for path in (self.folder, *self.folder.parents) if path.exists()), self.folder)
        try:
            free = free_room(there)
        except OSError:
            return math.inf
        with self._lock:
            in_use = set(self._open.keys())
        return max(0, free + sum(entry.bytes for entry in self._by_use() if entry.key not in in_use))

    def settle(self) -> None:
        """Holds the bound where what was open let it be passed. A `warning` says so where layers and readings that were
        made or found since the last time are more than it allows by themselves."""
        with self._lock:
            served, self._served = sum(self._served.values()), {}
        self._shrink(self.most_bytes)
        if served > self.most_bytes:
            self.warning = self.warning or (
                f"The layers of this frame take {served / 1e9:.1f} GB, and the layer cache is held to "
                f"{self.most_bytes / 1e9:.1f} GB: next time a part of them is traced again. "
                f"Set PREVIEW_CACHE_SIZE to {math.ceil(1.3 * served / 1e9)} GB to keep them."
            )

    def _serve(self, key: str, plan: Layout) -> None:
        if plan.kind not in PASSING:
            self._served[key] = plan.length

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise ValueError(f"{key!r} is no digest")
        return self.folder / f"{key}{SUFFIX}"

    def _parts(self) -> list[Path]:
        return [path for path in self._files() if path.name[0] == "." and path.suffix == PART_SUFFIX]

    def _files(self) -> list[Path]:
        try:
            return [Path(found.path) for found in os.scandir(self.folder) if found.is_file()]
        except OSError:
            return []

    def _by_use(self) -> list[Entry]:
        """What there is, used longest ago first, without kind and label."""
        found = []
        for path in self._files():
            if path.suffix == SUFFIX and _KEY.fullmatch(path.stem):
                with suppress(OSError):  # gone in the meantime
                    state = path.stat()
                    found.append(Entry(path.stem, "", "", state.st_size, state.st_mtime))
        return sorted(found, key=lambda entry: (entry.used, entry.key))

    def _told(self, entry: Entry) -> Entry:
        try:
            with open(self._path(entry.key), "rb") as file:
                plan = read_plan(file, entry.key)
        except (DamagedError, OSError):
            return replace(entry, kind=DAMAGED)
        return replace(entry, kind=plan.kind, label=plan.label)

    def _part(self, key: str, plan: Layout) -> PartFile | None:
        """A file for an entry, or None where none can be had."""
        self._path(key)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if not self._swept:
                sweep(self._parts())
                self._swept = True
            if wanting := has_room(self.folder, plan.length):
                self._shrink(sum(entry.bytes for entry in self._by_use()) - wanting)
                if has_room(self.folder, plan.length):
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return open_part(self.folder, key, plan.length)
        except OSError as error:
            self._trouble(error)
            return None

    def _memory(self, plan: Layout) -> NDArray[np.uint8]:
        """Zeros for an entry that no disk holds."""
        with self._lock:
            alive = [there for there in (known() for known in self._in_memory) if there is not None]
            if sum(map(len, alive), plan.length) > self.most_in_memory:
                raise UserError(
                    f"{self.warning} Memory cannot hold the frame instead: free some room, "
                    "set PREVIEW_CACHE to a folder on another disk, or ask for a smaller --size."
                )
            whole = np.zeros(plan.length, np.uint8)
            self._in_memory = [weakref.ref(there) for there in (*alive, whole)]
            return whole

    def _keep(self, key: str, part: PartFile, plan: Layout) -> None:
        try:
            seal(part.map, plan)
            _out_of_memory(part.map)
            with suppress(OSError):
                # Of what is mapped the system tells when its pages were first written to.
                os.utime(part.path)
            part.publish(self._path(key))
        except OSError as error:
            part.drop()
            # Where another run has just made the same and has it open, Windows replaces nothing: it is as good.
            if not self._path(key).exists():
                self._trouble(error)
            return
        except BaseException:
            part.drop()
            raise
        with self._lock:
            self._open[key] = part.map
            self._serve(key, plan)
            self._room -= plan.length
        if self._room < 0.0:
            self._shrink(self.most_bytes)

    def _shrink(self, most_bytes: int) -> None:
        """Removes what was used longest ago until the rest takes no more than `most_bytes`."""
        entries = self._by_use()
        total = sum(entry.bytes for entry in entries)
        self._room = min(UNCOUNTED * self.most_bytes, self.most_bytes - total)
        with self._lock:
            in_use = set(self._open.keys())
        for entry in entries:
            if total <= most_bytes:
                return
            if entry.key not in in_use and removed(self._path(entry.key)):
                total -= entry.bytes

    def _trouble(self, error: OSError) -> None:
        said = "its disk is full" if error.errno in (errno.ENOSPC, errno.EDQUOT) else _words(error)
        self.warning = self.warning or f"The layer cache {self.folder} cannot be written: {said}."


class Scratch:
    """The same as a `Store`, in memory and for one run: what is made is found until it is removed."""

    warning: str | None = None
    most_in_memory = math.inf
    """As much as `making` allows."""

    def __init__(self, *, most_bytes: int = MOST_IN_MEMORY) -> None:
        self.most_bytes = most_bytes
        self._kept: dict[str, tuple[Entry, dict[str, NDArray[Any]]]] = {}
        self._being_made = 0

    def load(self, key: str) -> Arrays | None:
        """The arrays of an entry, read-only, or None."""
        if key not in self._kept:
            return None
        entry, arrays = self._kept.pop(key)
        self._kept[key] = replace(entry, used=time.time()), arrays
        return arrays

    @contextmanager
    def making(self, key: str, wanted: Wanted, *, kind: str, label: str) -> Iterator[Arrays]:
        """As in a `Store`. Raises UserError where all that is kept or being made would be more than `most_bytes`."""
        size = sum(math.prod(shape) * np.dtype(type_).itemsize for shape, type_ in wanted.values())
        if size + self._being_made + sum(entry.bytes for entry, _ in self._kept.values()) > self.most_bytes:
            raise UserError(
                "Memory cannot hold the frame without the layer cache: "
                "leave out --no-cache, or ask for a smaller --size."
            )
        arrays: dict[str, NDArray[Any]] = {name: np.zeros(*one) for name, one in wanted.items()}
        self._being_made += size
        try:
            yield arrays
        finally:
            self._being_made -= size
        for array in arrays.values():
            array.flags.writeable = False
        self._kept.pop(key, None)
        self._kept[key] = Entry(key, kind, label, size, time.time()), arrays

    def put(self, key: str, arrays: Arrays, *, kind: str, label: str) -> None:
        """Makes an entry of arrays that there are already."""
        wanted = {name: (array.shape, array.dtype) for name, array in arrays.items()}
        with self.making(key, wanted, kind=kind, label=label) as places:
            for name, array in arrays.items():
                places[name][...] = array

    def room(self) -> float:
        """Bytes that it takes on a disk."""
        return 0.0

    def settle(self) -> None:
        """Holds the bound, which is never passed here."""

    def entries(self) -> list[Entry]:
        """What there is, used last first."""
        return [entry for entry, _ in reversed(self._kept.values())]

    def remove(self, key: str) -> None:
        """Removes an entry if it is there."""
        self._kept.pop(key, None)

    def clear(self) -> int:
        """Removes every entry; returns the bytes freed."""
        freed = sum(entry.bytes for entry, _ in self._kept.values())
        self._kept.clear()
        return freed


AnyStore = Store | Scratch


def set_aside(array: NDArray[Any]) -> None:
    """Takes an entry's arrays, of which this is one, out of the process's memory: they are in a file, and come back from
    there when they are asked for again. Nothing where they are in memory alone, or the system knows no such wish."""
    if isinstance(array.base, mmap.mmap):
        _out_of_memory(array.base)


def _out_of_memory(whole: mmap.mmap) -> None:
    if hasattr(mmap, "MADV_DONTNEED"):
        # Of a map that others may see, what was written stays with the file.
        whole.madvise(mmap.MADV_DONTNEED)


def _words(error: OSError) -> str:
    said = error.strerror or type(error).__name__
    return said[:1].lower() + said[1:]
