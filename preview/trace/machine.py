"""Machine: what this one has to spare: memory by what its system tells, files that a process may hold open."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

if sys.platform != "win32":
    import resource

PROC = Path("/proc")
GROUPS = Path("/sys/fs/cgroup")
SPARE_FILES = 64
"""Files that a process has open beside those it is asked for: libraries, pictures, its terminal."""


def memory_to_spare(proc: Path = PROC, groups: Path = GROUPS) -> int | None:
    """Bytes of memory that can still be taken, swap with it; None where nobody tells.

    The least of what the system has and what the control groups leave to this process; what they hold of files is given
    back when it is wanted.
    Source: proc(5), MemAvailable; the Linux kernel's documentation, admin-guide/cgroup-v2 and cgroup-v1/memory.
    """
    found = [_of_system(proc), *_left_in_groups(proc, groups)]
    return min((size for size in found if size is not None), default=None)


def _of_system(proc: Path) -> int | None:
    with suppress(OSError, ValueError, IndexError, KeyError):
        told = dict(line.split(":", 1) for line in (proc / "meminfo").read_text().splitlines())
        return 1024 * sum(int(told[name].split()[0]) for name in ("MemAvailable", "SwapFree"))
    with suppress(ValueError, OSError, AttributeError):
        # How much is free no standard tells; no more than there is can be taken.
        size = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
        return size if size > 0 else None
    return None


def _left_in_groups(proc: Path, groups: Path) -> Iterator[int]:
    """Bytes left in each control group that bounds this process's memory, of either version."""
    with suppress(OSError):
        for line in (proc / "self/cgroup").read_text().splitlines():
            number, controllers, path = line.split(":", 2)
            if number == "0":
                root, names = groups, ("memory.max", "memory.current", "")
            elif "memory" in controllers.split(","):
                root, names = groups / "memory", ("memory.limit_in_bytes", "memory.usage_in_bytes", "total_")
            else:
                continue
            place = root / path.strip("/")
            # In a container the path is often that of the host, and the root is the group itself.
            for folder in (place, *place.parents):
                left = _left(folder, *names)
                if left is not None:
                    yield left
                if folder == root:
                    break


def _left(folder: Path, bound: str, used: str, prefix: str) -> int | None:
    """Bytes that a control group leaves, None where it sets no bound."""
    with suppress(OSError, ValueError):
        most = int((folder / bound).read_text())  # "max", which is no number, where there is none
        stat = dict(line.split() for line in (folder / "memory.stat").read_text().splitlines())
        files = sum(int(stat.get(f"{prefix}{kind}_file", "0")) for kind in ("active", "inactive"))
        return max(0, most - int((folder / used).read_text()) + files)
    return None


def may_open(count: int) -> None:
    """Lets this process hold `count` more files open than it usually does, as far as it may."""
    if sys.platform == "win32":
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = count + SPARE_FILES
    if soft == resource.RLIM_INFINITY or wanted <= soft:
        return
    with suppress(ValueError, OSError):
        within = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (within, hard))
