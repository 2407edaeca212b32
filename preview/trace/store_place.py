"""Store place: the folder of the layer cache and its bound, by the platform's custom or the user's environment.

PREVIEW_CACHE names another folder, PREVIEW_CACHE_SIZE another bound, as `8 GB`.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from preview.faults import UserError
from preview.trace.store import Store

MOST_BYTES = 4_000_000_000
NO_BOUND = 10**15
UNITS = {"MB": 10**6, "GB": 10**9, "TB": 10**12}


def usual_store() -> Store:
    """The user's store. Raises UserError for a PREVIEW_CACHE_SIZE that is no size."""
    return Store(cache_folder(), most_bytes=cache_bound())


@contextmanager
def passing_store() -> Iterator[Store]:
    """A store that is gone when the block ends: for a run that neither finds nor leaves anything."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory(prefix="preview-", ignore_cleanup_errors=True) as folder:
        yield Store(Path(folder), most_bytes=NO_BOUND)


def cache_folder() -> Path:
    """PREVIEW_CACHE, else `preview/layers` in the platform's folder for caches."""
    chosen = os.environ.get("PREVIEW_CACHE")
    if chosen:
        return Path(os.path.expanduser(chosen))
    from platformdirs import user_cache_path

    return user_cache_path("preview", appauthor=False) / "layers"


def cache_bound() -> int:
    """Bytes of PREVIEW_CACHE_SIZE, else 4 GB."""
    written = os.environ.get("PREVIEW_CACHE_SIZE", "").strip()
    if not written:
        return MOST_BYTES
    found = re.fullmatch(r"([0-9]{1,6}(?:\.[0-9]+)?)\s*([MGT]B)", written.upper())
    size = round(float(found[1]) * UNITS[found[2]]) if found else 0
    if size <= 0:
        raise UserError(f'PREVIEW_CACHE_SIZE is "{written}", which is no size: write 8 GB or 500 MB.')
    return size
