"""Text: what a photometric file holds, however it is encoded and its lines end."""

from __future__ import annotations

import re
from pathlib import Path

from preview.faults import Fault, UserError

LARGEST_FILE = 8_000_000
"""Bytes. The finest tables of laboratories are a fifth of it."""


def lines_of(text: str) -> list[str]:
    """Lines, ended by CR LF, LF or CR; only those, so that numbers of lines are an editor's. Empty ones at the end are
    left out."""
    return re.split(r"\r\n|\n|\r", text.rstrip())


def text_of(path: Path) -> str:
    """The text of a file: UTF-8, UTF-16 where it says so, else Latin-1. UserError if it cannot be read."""
    try:
        if not path.is_file():
            raise UserError(Fault(path, None, "", "there is no such file"))
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "its name cannot be"
        raise UserError(Fault(path, None, "", f"cannot be read: {reason}")) from problem
    if len(raw) > LARGEST_FILE:
        raise UserError(
            Fault(
                path, None, "", f"is larger than {LARGEST_FILE // 1_000_000} MB, which no photometric file is"
            )
        )
    if not raw.strip():
        raise UserError(Fault(path, None, "", "the file is empty"))
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("latin-1")
