"""Catalogue: the picture book as contact sheets, a sheet for each section, or one of what some words fit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from preview.commands.picture_book.cell import Cell, Section
from preview.commands.picture_book.draw import drawn
from preview.commands.picture_book.figures import figure_cells
from preview.commands.picture_book.heads import ACROSS, DISTANCE, head_cells
from preview.commands.picture_book.materials import material_cells
from preview.commands.picture_book.pieces import piece_cells
from preview.faults import UserError
from preview.script.words import did_you_mean
from preview.sheets.answer import blocks
from preview.sheets.contact_sheet import Plan, contact_sheet
from preview.sheets.png import save_png
from preview.sheets.stage import staged
from preview.trace.store import AnyStore

SECTIONS: tuple[Section, ...] = get_args(Section)


@dataclass(frozen=True)
class Heading:
    """What stands over a section's sheet, and how its pictures lie."""

    title: str
    about: str
    plan: Plan


HEADINGS: dict[Section, Heading] = {
    "pieces": Heading(
        "Set pieces",
        "Below each, the words of a script that make it, where it stands and how large it is left out.",
        Plan(columns=3, aspect=4 / 3),
    ),
    "figures": Heading(
        "Cast",
        "Below each, what a member of the cast is given besides a name and a place.",
        Plan(columns=4, aspect=3 / 4),
    ),
    "materials": Heading(
        "Materials",
        "On a ball, and on a panel that is raked by eleven degrees. Reflectance is diffuse, for daylight; a coat comes "
        "over it.",
        Plan(columns=4, aspect=4 / 3),
    ),
    "heads": Heading(
        "Heads",
        f"The bare beam on {ACROSS:g} m of white wall at {DISTANCE:g} m, each exposed for its middle, balance 5000 K. Left "
        "of a line spot, right of it flood; lux likewise.",
        Plan(columns=4, aspect=4 / 3),
    ),
}


@dataclass(frozen=True)
class Book:
    """`files` written; `cells` in them."""

    files: tuple[str, ...]
    cells: int


def cells() -> tuple[Cell, ...]:
    """Every cell of the book, section by section."""
    return (*piece_cells(), *figure_cells(), *material_cells(), *head_cells())


def chosen(words: Sequence[str]) -> tuple[Cell, ...]:
    """The cells that all of some words fit; all of them, where there are none. UserError where nothing fits."""
    everything = cells()
    wanted = [word.lower() for word in words]
    found = tuple(cell for cell in everything if all(word in cell.about for word in wanted))
    if found:
        return found
    known = sorted({word for cell in everything for word in _words(cell.about)})
    for word in wanted:
        if not any(word in cell.about for cell in everything):
            near = did_you_mean(word, known)
            hint = (
                f'did you mean "{near}"?'
                if near
                else f"there are {', '.join(SECTIONS)}, and all that is in them"
            )
            raise UserError(f'nothing in the catalogue answers to "{word}"; {hint}')
    raise UserError(f'nothing in the catalogue answers to all of "{" ".join(words)}"; try fewer words')


def _words(text: str) -> list[str]:
    return "".join(letter if letter.isalnum() or letter in "-_" else " " for letter in text).split()


def catalogue(
    words: Sequence[str],
    folder: Path,
    *,
    store: AnyStore,
    progress: Callable[[float], None] = lambda share: None,
) -> Book:
    """Draws what the words fit: a sheet for each section in `folder`, or one named by the words.

    UserError for words that nothing fits, and for a folder that cannot be written; then nothing is written.
    """
    wanted = chosen(words)
    whole = not words or (len(words) == 1 and words[0].lower() in SECTIONS)
    named = "-".join(_words(" ".join(words).lower()))
    shown: dict[Section, list[blocks.Cell]] = {}
    for number, cell in enumerate(wanted):
        plan = HEADINGS[cell.section].plan
        pixels = drawn(cell, width=plan.width, height=plan.height, store=store)
        sentences = (cell.note,) if cell.note else ()
        shown.setdefault(cell.section, []).append(blocks.Cell(cell.caption, pixels, sentences=sentences))
        progress((number + 1) / len(wanted))
    store.settle()
    files = []
    with staged(folder) as stage:
        for section, pictures in shown.items():
            heading = HEADINGS[section]
            name = f"{section}.png" if whole else f"{section}.{named}.png"
            save_png(contact_sheet(heading.title, heading.about, pictures, heading.plan), stage / name)
            files.append(name)
    return Book(tuple(files), len(wanted))
