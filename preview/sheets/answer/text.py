"""Text: an answer as lines for a terminal of any width; pictures and drawings by their words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from preview.sheets.answer.blocks import Answer, Block, Cell, Drawing, Pictures, Table, heading_of
from preview.sheets.answer.letters import in_words, lacking
from preview.sheets.drawing import Align
from preview.sheets.fit import Room, is_number, parted, tail
from preview.sheets.unbroken import HOLD, bound, pieces

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderableType, RenderResult

INDENT = 2
HANGING = 1
"""Letters that a value's later lines stand in."""
GAP = 2
"""Letters between columns."""
NARROWEST = 14
"""Letters that a column of words is not made narrower than, if it was wider."""
LONGEST = 100
"""Letters of a line of running words."""


def answer_text(answer: Answer) -> list[RenderableType]:
    """Title, what it is about, then block by block."""
    from rich.text import Text

    parts: list[RenderableType] = [Paragraph(answer.title, "bold")]
    if answer.about:
        parts.append(Paragraph(answer.about, "dim"))
    for block in answer.blocks:
        parts += [Text(), *_block(block)]
    if letters := lacking(answer):
        parts += [Text(), Paragraph(in_words(letters))]
    return [*parts, Text()]


def _block(block: Block) -> Iterator[RenderableType]:
    title = heading_of(block)
    if title:
        yield Paragraph(title, "bold")
    if isinstance(block, Pictures):
        yield from _cells(block.cells)
    elif isinstance(block, Table):
        yield Columns(block.heads, block.rows, block.align)
    elif isinstance(block, Drawing):
        yield Paragraph(block.alternative)
    else:
        yield from (Paragraph(sentence) for sentence in block.sentences)
    if isinstance(block, Table | Drawing) and block.note:
        yield Paragraph(block.note, "dim")


def _cells(cells: Sequence[Cell]) -> Iterator[RenderableType]:
    """Figures of all cells as one table where they have the same names, else each cell's below its name."""
    figured = [cell for cell in cells if cell.figures]
    names = {tuple(name for name, _ in cell.figures) for cell in figured}
    together = len(figured) > 1 and len(names) == 1
    if together:
        heads = ("", *next(iter(names)))
        rows = [(cell.name, *(value for _, value in cell.figures)) for cell in figured]
        yield Columns(heads, rows, [_alignment(column) for column in zip(*rows, strict=True)])
    for cell in cells:
        if together and cell.figures and not cell.sentences:
            continue
        if together and cell.sentences:
            yield Paragraph(f"{cell.name}: {' '.join(cell.sentences)}", hanging=INDENT)
            continue
        yield Paragraph(cell.name, "bold")
        if cell.figures:
            yield Named(cell.figures)
        yield from (Paragraph(sentence, indent=INDENT) for sentence in cell.sentences)


def _alignment(column: Sequence[str]) -> Align:
    """Numbers stand below one another by their points where most are numbers."""
    return "decimal" if sum(map(is_number, column)) > len(column) / 2 else "left"


@dataclass(frozen=True)
class Paragraph:
    """Words that are wrapped to the terminal, `indent`ed, all lines but the first by `hanging` more."""

    words: str
    style: str = ""
    indent: int = 0
    hanging: int = 0

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.text import Text

        width = max(self.hanging + 2, min(LONGEST, options.max_width) - self.indent)
        for line in wrapped(self.words, width, hanging=self.hanging):
            yield Text(" " * self.indent + line, style=self.style)


@dataclass(frozen=True)
class Named:
    """Names, quiet, with what they are beside them, wrapped."""

    named: Sequence[tuple[str, str]]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.cells import cell_len

        width = max(4, min(LONGEST, options.max_width) - INDENT - GAP)
        left = min(max(cell_len(name) for name, _ in self.named), width // 2)
        for name, value in self.named:
            yield from _row(
                [wrapped(name, left), wrapped(value, width - left)],
                [left, width - left],
                ["dim", ""],
                ["left"] * 2,
            )


@dataclass(frozen=True)
class Columns:
    """Rows under their heads, each column as wide as it needs.

    What does not stand side by side goes on below; where not even one column fits, each row becomes a list.
    """

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    align: Sequence[Align]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.cells import cell_len
        from rich.text import Text

        room = Room(options.max_width, GAP, NARROWEST, cell_len, cell_len)
        parts = parted(self.heads, self.rows, self.align, [room])
        if parts is None:
            for row in self.rows:
                yield Paragraph(row[0], "bold")
                yield Named([*zip(self.heads[1:], row[1:], strict=True)])
            return
        for number, part in enumerate(parts):
            if number:
                yield Text()
            widths = [int(width + 1e-3) for width in part.widths]
            stands: list[Align] = [self.align[i] for i in part.columns]
            heads = [wrapped(self.heads[i], width) for i, width in zip(part.columns, widths, strict=True)]
            deepest = max(len(lines) for lines in heads)
            heads = [[""] * (deepest - len(lines)) + lines for lines in heads]
            yield from _row(heads, widths, ["dim"] * len(widths), stands, indent=0)
            tails = [max((cell_len(tail(row[i])) for row in self.rows), default=0) for i in part.columns]
            for row in self.rows:
                values = [_lines(row[i], widths[n], stands[n], tails[n]) for n, i in enumerate(part.columns)]
                yield from _row(values, widths, [""] * len(widths), stands, indent=0)


def _lines(value: str, width: int, align: Align, longest_tail: int) -> list[str]:
    from rich.cells import cell_len

    if align == "decimal" and is_number(value):
        return [value + " " * (longest_tail - cell_len(tail(value)))]
    longest = max(map(cell_len, bound(value).split(" ")))
    # Later lines stand in, so that a row is told from the next.
    return wrapped(value, width, hanging=HANGING if align == "left" and longest <= width - HANGING else 0)


def _row(
    cells: Sequence[Sequence[str]],
    widths: Sequence[int],
    styles: Sequence[str],
    align: Sequence[Align],
    *,
    indent: int = INDENT,
) -> Iterator[RenderableType]:
    """A row of a table, as many lines as its deepest cell has; nothing stands after the last word of a line."""
    from rich.cells import cell_len
    from rich.text import Text

    for n in range(max(len(lines) for lines in cells)):
        line = Text(" " * indent)
        for i, lines in enumerate(cells):
            words = lines[n] if n < len(lines) else ""
            space = " " * (widths[i] - cell_len(words))
            line.append(" " * GAP if i else "")
            line.append(words + space if align[i] == "left" else space + words, style=styles[i])
        line.rstrip()
        yield line


def wrapped(text: str, width: int, *, hanging: int = 0) -> list[str]:
    """Lines no wider than `width` letters, all but the first standing in by `hanging`.

    Numbers are kept with their units; words that are too long for a line are broken.
    """
    from rich.cells import cell_len, chop_cells

    lines: list[str] = []
    for paragraph in text.split("\n"):
        line, before = "", " " * hanging if lines else ""
        words = bound(paragraph).split(" ")
        while words:
            word = words.pop(0)
            trial = f"{line} {word}" if line else word
            if cell_len(before + trial) <= width:
                line = trial
                continue
            if line:
                lines.append(before + line)
                line, before = "", " " * hanging
            if cell_len(before + word) > width and len(parts := pieces(word)) > 1:
                words[:0] = parts
                continue
            *whole, line = chop_cells(word, width - hanging) if cell_len(before + word) > width else [word]
            lines += [before + part for part in whole]
        lines.append(before + line)
    # What is copied into a script is to have plain spaces.
    return [line.replace(HOLD, " ") for line in lines]
