"""Letters: which of an answer's the type of sheets does not have; they are boxes there, and it is said.

The type has Latin, Greek and Cyrillic letters; a page and a terminal have what the reader's machine has.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from functools import lru_cache

from preview.sheets.answer.blocks import Answer, Drawing, Pictures, Table
from preview.sheets.drawing import font

NO_LETTER = "\uffff"
"""What no type has: drawn as any other that is missing."""
SHOWN = 12
"""Letters that are named."""
ON_SHEET = (
    "A box stands for a letter that the type of sheets does not have; it has Latin, Greek and Cyrillic ones. "
    "The words of the page (--page) and of the terminal have all."
)


def lacking(answer: Answer) -> str:
    """The letters, each once, as they come."""
    letters = dict.fromkeys(letter for text in _texts(answer) for letter in text if not letter.isascii())
    return "".join(letter for letter in letters if not _drawn(letter))


def in_words(letters: str) -> str:
    """A sentence for the terminal."""
    named = letters[:SHOWN] + (" and others" if len(letters) > SHOWN else "")
    return (
        f"On the sheet boxes stand for {named}: its type has Latin, Greek and Cyrillic letters. "
        "The words of the page (--page) have all."
    )


@lru_cache(maxsize=4096)
def _drawn(letter: str) -> bool:
    if letter.isspace() or unicodedata.category(letter) in ("Mn", "Cf", "Cc"):
        return True
    mask, none = font("body").getmask(letter), font("body").getmask(NO_LETTER)
    return mask.size != none.size or bytes(mask) != bytes(none)


def _texts(answer: Answer) -> Iterator[str]:
    yield from (answer.title, answer.about)
    for block in answer.blocks:
        yield block.title
        if isinstance(block, Pictures):
            for cell in block.cells:
                yield from (cell.name, *(text for figure in cell.figures for text in figure), *cell.sentences)
        elif isinstance(block, Table):
            yield from (block.note, *block.heads, *(value for row in block.rows for value in row))
        elif isinstance(block, Drawing):
            yield from (block.alternative, block.note)
        else:
            yield from block.sentences
