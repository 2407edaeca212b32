"""Figures: a cell for every choice that a member of the cast leaves: persons, poses, clothes, skin, hair."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from preview.commands.picture_book.cell import SUBJECT, Cell, choices, flow, laid_over, nested
from preview.script.models.cast import Figure

BASE = {"name": SUBJECT, "at": [0, 0], "facing": 200.0, "top": "cloth", "bottom": "denim"}
OF_THE_FACE = ("skin", "hair", "cut", "eye", "beard", "brow", "look", "gaze")
"""How the names of keys begin that are seen in the face."""
HELP: dict[str, dict[str, Any]] = {
    "sit": {"box": {"at": [0.055, 0.15], "turn": 20, "size": [0.5, 0.4, 0.44], "material": "wood"}},
    "lean": {"box": {"at": [0.085, 0.235], "turn": 20, "size": [1.6, 0.2, 2.3], "material": "brick"}},
}
"""What a pose needs behind or below it, by its name."""
NEEDS: dict[tuple[str, str], dict[str, Any]] = {
    ("cut", "tied"): {"person": "woman"},
    ("hood", "up"): {"wears": "raincoat"},
}
"""What a choice shows nothing without, by key and value."""


def figure_cells() -> Iterator[Cell]:
    """A figure as it comes, and with each choice that is not its usual one."""
    yield _cell({}, face=False)
    for keys, value in choices(Figure):
        needed = NEEDS.get((keys[0], value), {})
        yield _cell({**needed, **nested(keys, value)}, face=keys[0].startswith(OF_THE_FACE))


def _cell(choice: Mapping[str, Any], *, face: bool) -> Cell:
    help_for = HELP.get(str(choice.get("pose")))
    return Cell(
        "figures",
        flow(choice)[1:-1] or "as it comes",
        "face" if face else "figure",
        set=(help_for,) if help_for is not None else (),
        cast=(laid_over(BASE, choice),),
    )
