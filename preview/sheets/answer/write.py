"""Write: an answer's files: its sheet, its data, and where asked for its page."""

from __future__ import annotations

import glob
from contextlib import suppress
from pathlib import Path

from preview.sheets.answer.blocks import Answer
from preview.sheets.answer.sheet import answer_sheets
from preview.sheets.data import json_text
from preview.sheets.png import save_png
from preview.sheets.stage import staged


def write_answer(answer: Answer, folder: Path, *, page: bool = False) -> tuple[str, ...]:
    """Writes NAME.png (and NAME-2.png, NAME-3.png, ... where one would be too long), NAME.json, with `page`
    NAME.html; the names of what was written. All of them appear whole or none does.

    UserError for a folder that cannot be written.
    """
    sheets = answer_sheets(answer)
    with staged(folder) as stage:
        files = []
        for number, sheet in enumerate(sheets):
            name = f"{answer.name}-{number + 1}.png" if number else f"{answer.name}.png"
            save_png(sheet, stage / name)
            files.append(name)
        (stage / f"{answer.name}.json").write_text(json_text(answer.data) + "\n", encoding="utf-8")
        files.append(f"{answer.name}.json")
        if page:
            from preview.sheets.answer.page import answer_page

            (stage / f"{answer.name}.html").write_text(answer_page(answer), encoding="utf-8")
            files.append(f"{answer.name}.html")
    _tidied(folder, answer.name, len(sheets))
    return tuple(files)


def _tidied(folder: Path, name: str, sheets: int) -> None:
    """Takes away the sheets of an earlier, longer answer of the same name: they would be taken for this one's."""
    for path in folder.glob(f"{glob.escape(name)}-*.png"):
        number = path.stem.removeprefix(f"{name}-")
        if number.isdecimal() and int(number) > sheets:
            with suppress(OSError):
                path.unlink()
