"""Blocks: what an answer is made of: pictures side by side, tables, drawings, sentences. Nothing here is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.sheets.drawing import Align

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Cell:
    """One picture (h, w, 3) with what is said of it; no picture where none can be made, and a sentence says why.

    `name`: its heading, a few words; `figures`: what is measured, as name and value; `sentences`: what is said in full.
    """

    name: str
    picture: Pixels | None = None
    figures: tuple[tuple[str, str], ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pictures:
    """Cells side by side, in so many `columns` of the sheet; on a narrow screen in fewer."""

    cells: tuple[Cell, ...]
    columns: int = 3
    title: str = ""


@dataclass(frozen=True)
class Table:
    """`align`: of each column, as for `Sheet.table`; `note`: how to read it, below."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: tuple[Align, ...]
    note: str = ""


@dataclass(frozen=True)
class Drawing:
    """A drawing (h, w, 3), COLUMN pixels wide, that has its words in it; `alternative`: what it shows, in a sentence, for
    whoever does not see it."""

    title: str
    pixels: Pixels
    alternative: str
    note: str = ""


@dataclass(frozen=True)
class Words:
    """Sentences, each a paragraph. `caution`: what can hurt somebody."""

    sentences: tuple[str, ...]
    title: str = ""
    caution: bool = False


def heading_of(block: Block) -> str:
    """What stands above a block; a caution says that it is one."""
    if isinstance(block, Words) and block.caution:
        return f"Caution: {block.title}" if block.title else "Caution"
    return block.title


Block = Pictures | Table | Drawing | Words


@dataclass(frozen=True)
class Answer:
    """All that a command has to say. `name`: of its files: NAME.png, NAME.json, with a page NAME.html.

    `about`: one line below the title: scene, setup, camera. `data`: the same as plain values for JSON, units
    in its names.
    """

    name: str
    title: str
    about: str
    blocks: tuple[Block, ...]
    data: dict[str, Any] = field(default_factory=dict)
