"""Write: an answer's files: its sheet, its data, and where asked for its page."""

from __future__ import annotations

import glob
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

from preview.sheets.answer.blocks import Answer
from preview.sheets.answer.sheet import answer_sheets
from preview.sheets.data import json_text
from preview.sheets.png import save_png
from preview.sheets.stage import staged


def write_answer(
    answer: Answer, folder: Path, *, page: bool = False, meanwhile: Callable[[], None] = lambda: None
) -> tuple[str, ...]:
    """Writes NAME.png (and NAME-2.png, NAME-3.png, ... where one would be too long), NAME.json, with `page`
    NAME.html; the names of what was written. All of them appear whole or none does. `meanwhile` is done while sheets are
    packed.

    UserError for a folder that cannot be written.
    """
    sheets = answer_sheets(answer)
    names = [
        f"{answer.name}-{number + 1}.png" if number else f"{answer.name}.png" for number in range(len(sheets))
    ]
    with staged(folder) as stage, ThreadPoolExecutor() as threads:
        packed = threads.map(save_png, sheets, [stage / name for name in names])
        names.append(_text(stage, f"{answer.name}.json", json_text(answer.data) + "\n"))
        if page:
            from preview.sheets.answer.page import answer_page

            names.append(_text(stage, f"{answer.name}.html", answer_page(answer)))
        meanwhile()
        list(packed)
    _tidied(folder, answer.name, len(sheets))
    return tuple(names)


def _text(folder: Path, name: str, text: str) -> str:
    (folder / name).write_text(text, encoding="utf-8")
    return name


def _tidied(folder: Path, name: str, sheets: int) -> None:
    """Takes away the sheets of an earlier, longer answer of the same name: they would be taken for this one's."""
    for path in folder.glob(f"{glob.escape(name)}-*.png"):
        number = path.stem.removeprefix(f"{name}-")
        if number.isdecimal() and int(number) > sheets:
            with suppress(OSError):
                path.unlink()
