"""Told: where answers go, and how they are printed."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from preview.sheets.answer.blocks import Answer


def folder_of(scene: Path, setup: str, *more: str | None) -> Path:
    """renders/SCENE/SETUP, with a look or a draft beside it: renders/SCENE/SETUP.LOOK.draft."""
    return Path("renders") / scene.stem / ".".join([setup, *(part for part in more if part)])


def answered(data: Any, words: Any, folder: Path, files: tuple[str, ...]) -> None:
    """The report as JSON, or in words with the files that were written."""
    if data is not None:
        from preview.sheets.data import json_text

        print(json_text(data))
        return
    console().print(words)
    print(f"Wrote {', '.join(files)} in {folder}")


def printed(parts: Iterable[Any]) -> None:
    """Prints rich's renderables, one below the other."""
    out = console()
    for part in parts:
        out.print(part)


def compared(answer: Answer, folder: Path, *, page: bool, as_json: bool) -> None:
    """Writes an answer's files and prints it, or its data as JSON."""
    from preview.sheets.answer.text import answer_text
    from preview.sheets.answer.write import write_answer
    from preview.sheets.data import json_text

    if as_json:
        write_answer(answer, folder, page=page)
        print(json_text(answer.data))
        return
    out = console()
    with out.capture() as said:
        files = write_answer(
            answer, folder, page=page, meanwhile=lambda: out.print(*answer_text(answer), sep="\n")
        )
    print(said.get(), end="")
    print(f"Wrote {', '.join(files)} in {folder}")


def console() -> Any:
    from rich.console import Console

    return Console(highlight=False)
