"""Page: an answer as one HTML file that needs nothing else: no network, no script; on a telephone, a screen, on paper.

Source: HTML Living Standard, whatwg.org; Content Security Policy Level 3, w3.org; from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from preview.sheets.answer.blocks import Answer, Block, Cell, Drawing, Pictures, Table, Words, heading_of
from preview.sheets.answer.data_uri import drawing_uri, frame_uris
from preview.sheets.answer.page_style import style_sheet
from preview.sheets.answer.page_table import table_html
from preview.sheets.answer.sheet import aspect_of
from preview.sheets.unbroken import bound

COLUMNS = {1: "one", 2: "two", 3: "three", 4: "four"}
SIGN = (
    '<svg viewBox="0 0 40 40" aria-hidden="true"><path d="M18.3 3.9a2 2 0 0 1 3.4 0l16.6 29.2a2 2 0 0 1-1.7 3'
    'H3.4a2 2 0 0 1-1.7-3z"/><path class="mark" d="M18 14h4l-.9 11.4h-2.2zM20 27.6a2.1 2.1 0 1 1 0 4.2 2.1 2.1 0 0 1 0'
    '-4.2z"/></svg>'
)
POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
"""What the page may load: what it holds."""


def answer_page(answer: Answer) -> str:
    """The file's text."""
    frames = [
        (cell.picture, block.columns)
        for block in answer.blocks
        if isinstance(block, Pictures)
        for cell in block.cells
        if cell.picture is not None
    ]
    uris = iter(frame_uris(frames))
    about = f'<p class="about">{_text(answer.about)}</p>' if answer.about else ""
    sections = "\n".join(_section(block, number, uris) for number, block in enumerate(answer.blocks, 1))
    return f"""<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{_text(answer.title)}</title>
<style>
{style_sheet()}
</style>
</head>
<body>
<header><h1>{_text(answer.title)}</h1>{about}</header>
<main>
{sections}
</main>
<footer></footer>
</body>
</html>
"""


def _section(block: Block, number: int, uris: Iterator[str]) -> str:
    if isinstance(block, Words) and block.caution:
        said = "".join(f"<p>{_text(sentence)}</p>" for sentence in block.sentences)
        return (
            f'<section><div class="caution" role="note">{SIGN}<div><h2>{_text(heading_of(block))}</h2>{said}</div>'
            "</div></section>"
        )
    head = f'<h2 id="part{number}">{_text(block.title)}</h2>' if block.title else ""
    named = f' aria-labelledby="part{number}"' if block.title else ""
    kind = ' class="frames"' if isinstance(block, Pictures) else ""
    if isinstance(block, Pictures):
        body = _cells(block, uris)
    elif isinstance(block, Table):
        body = _table(block, named)
    elif isinstance(block, Drawing):
        body = _drawing(block, number)
    else:
        body = "".join(f"<p>{_text(sentence)}</p>" for sentence in block.sentences)
    return f"<section{kind}{named}>{head}{body}</section>"


def _cells(block: Pictures, uris: Iterator[str]) -> str:
    parts = 2 + any(cell.figures for cell in block.cells) + any(_below(cell) for cell in block.cells)
    aspect = aspect_of(block.cells)
    figured = any(cell.figures for cell in block.cells)
    told = any(_below(cell) for cell in block.cells)
    cells = "\n".join(_cell(cell, aspect, uris, figured=figured, told=told) for cell in block.cells)
    columns = COLUMNS[min(4, max(1, block.columns))]
    return f'<div class="cells {columns} parts{parts}">\n{cells}\n</div>'


def _below(cell: Cell) -> tuple[str, ...]:
    """The sentences that stand below a cell's figures: without a picture, the first stands in its place."""
    return cell.sentences if cell.picture is not None else cell.sentences[1:]


def _cell(cell: Cell, aspect: float, uris: Iterator[str], *, figured: bool, told: bool) -> str:
    if cell.picture is None:
        first = cell.sentences[0] if cell.sentences else "No picture."
        shown = f'<div class="empty" style="aspect-ratio:{aspect:.4f}"><p>{_text(first)}</p></div>'
    else:
        high, wide = cell.picture.shape[:2]
        shown = f'<img src="{next(uris)}" width="{wide}" height="{high}" alt="{_text(_alternative(cell))}">'
    rows = "".join(f"<dt>{_text(name)}</dt><dd>{_text(value)}</dd>" for name, value in cell.figures)
    figures = f"<dl>{rows}</dl>" if rows else "<div></div>" if figured else ""
    said = "".join(f"<p>{_text(sentence)}</p>" for sentence in _below(cell))
    sentences = f'<div class="said">{said}</div>' if told else ""
    return (
        f'<figure class="cell">{shown}<figcaption><p class="name">{_text(cell.name)}</p>{figures}{sentences}'
        "</figcaption></figure>"
    )


def _alternative(cell: Cell) -> str:
    """What a picture is, for whoever does not see it; its name and figures stand beside it."""
    return f"Picture: {cell.name}"


def _table(block: Table, named: str) -> str:
    note = f'<p class="note">{_text(block.note)}</p>' if block.note else ""
    return table_html(block, named or 'aria-label="Table"') + note


def _drawing(block: Drawing, number: int) -> str:
    """The drawing, over the page; on a telephone a touch brings it nearer, and it is moved sideways."""
    high, wide = block.pixels.shape[:2]
    note = f'<p class="note">{_text(block.note)}</p>' if block.note else ""
    return (
        f'<div class="drawing"><input class="closer" type="checkbox" id="closer{number}">'
        f'<div class="scroll"><label for="closer{number}"><img src="{drawing_uri(block.pixels)}" width="{wide}" '
        f'height="{high}" alt="{_text(block.alternative)}"></label></div>'
        f'<p class="nearer"><label for="closer{number}">Touch the drawing to enlarge it, again to see it whole.'
        "</label></p>"
        f"</div>{note}"
    )


def _text(text: str) -> str:
    return escape(bound(text))
