"""Part file: a new entry of the store while it is being made, under a hidden name, mapped and locked.

The lock goes with the process that holds it, however that ends; so a part that nobody has locked belongs to nobody.
"""

from __future__ import annotations

import errno
import mmap
import os
import secrets
import shutil
import sys
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

if sys.platform != "win32":
    import fcntl

SUFFIX = ".part"
SPARE_BYTES = 500_000_000
"""Room on the disk that is left for everybody else, the finished pictures among them."""
UNLOCKABLE_SECONDS = 24 * 3600.0
"""Where the file system knows no locks, a part untouched for so long belongs to nobody."""
ZEROS = 1 << 20


@dataclass(frozen=True)
class PartFile:
    """`map` is the whole file, zero at first and writable; it stays good when the file is renamed or removed."""

    path: Path
    map: mmap.mmap

    def publish(self, target: Path) -> None:
        """Renames the part over `target`. Raises OSError; then the part is still there."""
        try:
            os.replace(self.path, target)
        except PermissionError:
            # Windows renames no file that is mapped; a copy of it is not.
            copy = self.path.with_name(f".{target.stem}.{secrets.token_hex(4)}{SUFFIX}")
            try:
                shutil.copyfile(self.path, copy)
                os.replace(copy, target)
            except BaseException:
                removed(copy)
                raise
            removed(self.path)

    def drop(self) -> None:
        removed(self.path)


def open_part(folder: Path, stem: str, length: int) -> PartFile:
    """A new part of `length` bytes, with its room on the disk taken. Raises OSError where there is none."""
    while True:
        path = folder / f".{stem}.{secrets.token_hex(4)}{SUFFIX}"
        try:
            with open(path, "x+b") as file:
                _lock(file, wait=True)
                if not path.exists():
                    continue  # taken for a leftover before it was locked
                _take_room(file, length)
                # The map keeps the file open, and so the lock.
                return PartFile(path, mmap.mmap(file.fileno(), length))
        except BaseException:
            removed(path)
            raise


def sweep(parts: Iterable[Path]) -> int:
    """Removes those of the parts that nobody holds; returns the bytes freed."""
    freed = 0
    for path in parts:
        with suppress(OSError), open(path, "r+b") as file:
            size, age = os.fstat(file.fileno()).st_size, time.time() - os.fstat(file.fileno()).st_mtime
            try:
                _lock(file, wait=False)
            except BlockingIOError:
                continue
            except OSError:
                if age < UNLOCKABLE_SECONDS:
                    continue
            if sys.platform == "win32":
                file.close()  # what is open, here or elsewhere, is not removed there
            freed += size if removed(path) else 0
    return freed


def removed(path: Path) -> bool:
    """Whether a file was there and is gone now."""
    try:
        path.unlink()
    except OSError:
        return False
    return True


def has_room(folder: Path, length: int) -> int:
    """Bytes that are wanting on the folder's disk for a file of `length`; 0 when there is room."""
    return max(0, length - free_room(folder))


def free_room(folder: Path) -> int:
    """Bytes that files may take on the folder's disk; below 0 where others are short of theirs."""
    return shutil.disk_usage(folder).free - SPARE_BYTES


def _lock(file: BinaryIO, *, wait: bool) -> None:
    """Raises BlockingIOError when another holds it; when no lock can be had, waits for none and raises OSError."""
    if sys.platform == "win32":
        return
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        raise
    except OSError:
        if not wait:
            raise


def _take_room(file: BinaryIO, length: int) -> None:
    """Fills a file with zeros that have their place on the disk: a map without one kills the process when it is full."""
    if hasattr(os, "posix_fallocate"):
        try:
            os.posix_fallocate(file.fileno(), 0, length)
            return
        except OSError as error:
            if error.errno not in (errno.EINVAL, errno.EOPNOTSUPP, errno.ENOSYS):
                raise
    zeros = bytes(ZEROS)
    for start in range(0, length, ZEROS):
        file.write(zeros[: min(ZEROS, length - start)])
    file.flush()
