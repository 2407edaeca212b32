"""Cache: the layer cache shown: where it is, how full, whose layers; or emptied."""

from __future__ import annotations

import os
import time
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from preview.commands.table import plain_table
from preview.trace.store import DAMAGED, Entry, Store

if TYPE_CHECKING:
    from rich.console import RenderableType

RIGHT = {"layers", "size", "last used"}
UNTOLD = "unnamed"
AGES = ((86400.0, "day"), (3600.0, "hour"), (60.0, "minute"))


@dataclass(frozen=True)
class SceneShare:
    """What the cache holds of one scene; `used` in seconds since 1970, the latest of its entries."""

    scene: str
    entries: int
    bytes: int
    used: float


@dataclass(frozen=True)
class CacheReport:
    """`freed`: bytes, None when nothing was asked to be cleared. `trouble`: why the folder is
    of no use, None where it is. `scenes`: used last first.
    """

    folder: Path
    entries: int
    bytes: int
    most_bytes: int
    scenes: tuple[SceneShare, ...]
    freed: int | None
    trouble: str | None = None


def cache(store: Store, *, clear: bool) -> CacheReport:
    """What the store holds, or holds after it was cleared."""
    freed = store.clear() if clear else None
    entries = store.entries()
    return CacheReport(
        store.folder,
        len(entries),
        sum(entry.bytes for entry in entries),
        store.most_bytes,
        _scenes(entries),
        freed,
        trouble_with(store.folder),
    )


def trouble_with(folder: Path) -> str | None:
    """Why nothing can be kept in a folder, in a sentence; None where it can, or where the folder can be made."""
    there = next((path for path in (folder, *folder.parents) if os.path.lexists(path)), folder)
    if not there.is_dir():
        return f"{there} is not a folder: what is traced is not kept. PREVIEW_CACHE names another."
    if there == folder and not os.access(folder, os.R_OK | os.X_OK):
        return f"{folder} cannot be read: what is in it is not known. PREVIEW_CACHE names another folder."
    if not os.access(there, os.W_OK | os.X_OK):
        return f"{there} cannot be written: what is traced is not kept. PREVIEW_CACHE names another folder."
    return None


def _scenes(entries: Iterable[Entry]) -> tuple[SceneShare, ...]:
    """Entries by what their labels say before a colon, used last first as they come."""
    found: dict[str, SceneShare] = {}
    for entry in entries:
        scene = DAMAGED if entry.kind == DAMAGED else entry.label.partition(":")[0] or UNTOLD
        known = found.get(scene, SceneShare(scene, 0, 0, entry.used))
        found[scene] = SceneShare(scene, known.entries + 1, known.bytes + entry.bytes, known.used)
    return tuple(found.values())


def to_json(report: CacheReport) -> dict[str, Any]:
    """Plain values: bytes as numbers, times as ISO 8601 in UTC."""
    return {
        **asdict(report),
        "folder": str(report.folder),
        "scenes": [
            {**asdict(share), "used": datetime.fromtimestamp(share.used, UTC).isoformat(timespec="seconds")}
            for share in report.scenes
        ],
    }


def words(report: CacheReport) -> list[RenderableType]:
    """The report as rich renderables."""
    from rich.text import Text

    told: list[RenderableType] = [Text(f"Layer cache: {report.folder}")]
    if report.freed is not None:
        told.append(Text(f"Cleared: {size(report.freed)} freed."))
    if report.trouble is not None:
        told.append(Text(report.trouble))
        if not report.entries:
            return told
    count = f"{report.entries} layer{'' if report.entries == 1 else 's'}" if report.entries else "Empty"
    told.append(Text(f"{count}, {size(report.bytes)} of at most {size(report.most_bytes)}."))
    if report.scenes:
        now = time.time()
        rows = [
            (share.scene, str(share.entries), size(share.bytes), age(now - share.used))
            for share in report.scenes
        ]
        told += [Text(), plain_table(("scene", "layers", "size", "last used"), rows, right=RIGHT)]
    return told


def size(count: int) -> str:
    """`0 MB`, `0.4 MB`, `12 MB`, `1.3 GB`; in powers of ten, as disks are sold, and never 0 for something."""
    megabytes = count / 1e6
    if round(megabytes) >= 1000:
        return f"{count / 1e9:.1f} GB"
    return f"{max(0.1, megabytes):.1f} MB" if 0.0 < megabytes < 9.95 else f"{megabytes:.0f} MB"


def age(seconds: float) -> str:
    """`just now`, `1 minute ago`, `5 hours ago`, `12 days ago`."""
    for length, unit in AGES:
        count = int(seconds // length)
        if count >= 1:
            return f"{count} {unit}{'' if count == 1 else 's'} ago"
    return "just now"
