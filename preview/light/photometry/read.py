"""Reading: a photometric file of either format becomes a `Web`, or a sentence with its line."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from preview.faults import Fault, UserError
from preview.light.photometry.eulumdat import read_eulumdat
from preview.light.photometry.lm63 import read_lm63
from preview.light.photometry.text import text_of
from preview.light.photometry.web import Web


def web_of_file(path: Path) -> Web:
    """The web of an LM-63 (.ies) or EULUMDAT (.ldt) file; what is neither by its name is told by its text.

    UserError, one fault with file and line, for one that is missing, unreadable, too large or wrong.
    """
    try:
        known = path.stat()
    except (OSError, ValueError) as problem:
        raise UserError(Fault(path, None, "", "there is no such file")) from problem
    return _read(path, known.st_mtime_ns, known.st_size)


@lru_cache(maxsize=64)
def _read(path: Path, changed: int, size: int) -> Web:
    text = text_of(path)
    return read_eulumdat(path, text) if _is_eulumdat(path, text) else read_lm63(path, text)


def _is_eulumdat(path: Path, text: str) -> bool:
    if path.suffix.lower() in (".ldt", ".ies"):
        return path.suffix.lower() == ".ldt"
    return "TILT=" not in text.upper().replace(" ", "")
