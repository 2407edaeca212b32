"""Pieces: a cell for every kind of set piece and for each of its choices, from the models themselves.

What a piece must be given (where it stands, how large it is) is derived from its model; EXAMPLES says what else makes it
look like what it is. A kind that can neither be derived nor is there fails the tests.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from preview.commands.picture_book.cell import SUBJECT, Cell, choices, flow, laid_over, nested, words_of
from preview.script.models.pieces import PIECES, ground
from preview.script.models.pieces.piece import Piece

ROCK = "rock.obj"
FILES = {
    ROCK: """\
v -0.8 -0.5 0
v 0.7 -0.6 0
v 0.9 0.5 0
v -0.6 0.7 0
v -0.5 -0.3 0.8
v 0.4 -0.35 0.7
v 0.35 0.3 1.1
v -0.4 0.4 0.6
f 4 3 2 1
f 1 2 6 5
f 2 3 7 6
f 3 4 8 7
f 4 1 5 8
f 5 6 7 8
"""
}
"""What the examples find beside them."""

LAND = [[-1.6, -1.2], [1.6, -1.2], [1.6, 1.2], [-1.6, 1.2]]
EXAMPLES: dict[str, dict[str, Any]] = {
    "ground": {"size": [8, 8]},
    "house": {
        "size": [8, 5.5],
        "porch": {"width": 3.4},
        "doors": [{"from_left": 3.5}],
        "windows": [
            {"from_left": 0.9, "size": [1.1, 1.3]},
            {"from_left": 6.0, "size": [1.1, 1.3]},
            {"wall": "left", "from_left": 2, "size": [1.1, 1.3]},
        ],
    },
    "trees": {"at": [[0, 0]], "height": [7, 7]},
    "shrubs": {"at": [[0, 0]]},
    "grass": {"in": LAND},
    "reeds": {"in": LAND},
    "street": {"along": [[-7, 0], [7, 0]], "width": 5},
    "box": {"size": [1.2, 0.8, 0.7], "material": "wood"},
    "mesh": {"file": ROCK, "material": "stone"},
}
"""What a piece is given besides what its model asks for, by its kind."""
NEEDS: dict[tuple[str, str], dict[str, Any]] = {
    ("house", "bond"): {"cladding": "bricks"},
    ("shops", "bond"): {"cladding": "bricks"},
}
"""What a choice shows nothing without, by kind and key."""
LIT = {"campfire": "fire", "string": "string"}
"""Kinds that are themselves what a practical of this kind stands at."""
ALIKE = {
    "shed": ("cladding", "bond"),
    "garage": ("cladding", "bond"),
    "shops": ("cladding", "bond"),
    "van": ("driver",),
    "pickup": ("driver",),
    "mesh": ("up", "scale", "origin"),
}
"""Choices, by kind, that make no other picture, or are shown by another kind."""


def piece_cells() -> Iterator[Cell]:
    """Every kind of piece as it comes, and with each choice that is not its usual one."""
    for kind, model in PIECES.items():
        base = example(kind, model)
        yield _cell(kind, base, {})
        for keys, value in choices(model):
            if keys[0] not in ALIKE.get(kind, ()):
                yield _cell(kind, base, {**NEEDS.get((kind, keys[0]), {}), **nested(keys, value)})


def example(kind: str, model: type[Piece]) -> dict[str, Any]:
    """The keys with which a piece can be built: what its model asks for, what EXAMPLES adds.

    KeyError where the model asks for something whose value cannot be guessed: then EXAMPLES must say it.
    """
    given = EXAMPLES.get(kind, {})
    derived = {
        info.alias or name: words_of(info)[0] if words_of(info) else GUESSES[info.alias or name]
        for name, info in model.model_fields.items()
        if (info.is_required() or (info.alias or name) in PLACED) and (info.alias or name) not in given
        if not ((info.alias or name) == "at" and not info.is_required() and "along" in model.model_fields)
    }
    return {"name": SUBJECT, **derived, **given}


PLACED = ("at",)
GUESSES: dict[str, Any] = {
    "at": [0, 0],
    "along": [[-2.2, 0], [2.2, 0]],
    "size": [2, 1.5],
}
"""Keys that say where a piece stands and how large it is, with what they are here."""


def _cell(kind: str, base: Mapping[str, Any], choice: Mapping[str, Any]) -> Cell:
    piece = laid_over(base, choice)
    caption = f"{kind}: {flow(choice)}" if choice else kind
    return Cell(
        "pieces",
        caption,
        "ground" if PIECES[kind].__module__ == ground.__name__ else "piece",
        set=({kind: piece},),
        fixtures=({"name": "light", "practical": {"kind": LIT[kind], "at": SUBJECT}},) if kind in LIT else (),
        files={name: text for name, text in FILES.items() if piece.get("file") == name},
    )
