"""New: the starter scene written to a file of the user's name."""

from __future__ import annotations

import os
import re
from pathlib import Path

from preview.faults import UserError
from preview.script.starter import starter
from preview.sheets.stage import REASONS

SUFFIXES = (".yaml", ".yml")
UNFIT = '<>:"|?*\\'
"""Letters that a file name cannot hold on one system or another."""
RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)
"""Names that stand for devices on Windows, whatever their ending."""


def new(name: str) -> Path:
    """Writes the starter scene to `name`, with .yaml where that is missing, and returns its path.

    Folders in the name are made. Raises UserError in a sentence for a name that is no file name, for a file that is
    there already, and for a place that cannot be written; then nothing is left behind.
    """
    path = _path(name)
    if path.exists() or path.is_symlink():
        raise UserError(f"{path} is there already, and is left as it is; choose another name.")
    text = starter(_title(path))
    # Written beside its place and renamed: a half file never bears the name.
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8", newline="\n")
        os.replace(part, path)
    except OSError as error:
        reason = REASONS.get(error.errno or 0, (error.strerror or "the system refused it").lower())
        raise UserError(f"Cannot write {path}: {reason}. No file was written.") from error
    finally:
        part.unlink(missing_ok=True)
    return path


def _path(name: str) -> Path:
    path = Path(name)
    stem = path.stem if path.suffix in SUFFIXES else path.name
    if not stem.strip(" .") or name.endswith(("/", os.sep)) or path.name in SUFFIXES:
        raise UserError(f'"{name}" names no file; write a name such as first-night.')
    wrong = sorted({letter for letter in path.name if letter in UNFIT or not letter.isprintable()})
    if wrong:
        shown = " ".join(letter if letter.isprintable() else f"U+{ord(letter):04X}" for letter in wrong)
        raise UserError(f"A file name cannot hold {shown} on every system; write a name such as first-night.")
    if path.name[0] in "-." or path.name[-1] in " .":
        raise UserError(
            f'"{path.name}" begins with a dash or a full stop, or ends with a full stop or a space; '
            "such a file is hard to find again: write a name such as first-night."
        )
    if RESERVED.fullmatch(path.name):
        raise UserError(
            f'"{path.name}" stands for a device on some systems; write a name such as first-night.'
        )
    return path if path.suffix in SUFFIXES else path.with_name(f"{path.name}.yaml")


def _title(path: Path) -> str:
    """`first-night` is titled First night."""
    words = path.stem.replace("-", " ").replace("_", " ").strip() or path.stem
    return words[:1].upper() + words[1:]
