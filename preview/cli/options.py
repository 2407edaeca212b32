"""Options: arguments and options that commands share."""

from __future__ import annotations

import re
from pathlib import Path

import click


def _size(context: click.Context, option: click.Parameter, value: str) -> tuple[int, int | None]:
    """Width, or width and height that the frame must fit in, in pixels: `960`, `960x540`."""
    found = re.fullmatch("([0-9]{2,4})(?:x([0-9]{2,4}))?", str(value).lower())
    sides = [int(side) for side in found.groups() if side] if found else []
    if not sides or not all(16 <= side <= 7680 for side in sides):
        raise click.BadParameter(f"{value!r} is not a width from 16 to 7680 pixels, as 960 or 960x540.")
    return sides[0], sides[1] if len(sides) == 2 else None


SCENE = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")
SETUP = click.option("--setup", metavar="NAME", help="A setup of the script; default: its own camera.")
OUT = click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Where to write; default: renders/SCENE/SETUP.",
)
SEED = click.option(
    "--seed",
    type=click.IntRange(0, 2**20),
    help="Of the sampling: same seed, same picture. Default: the script's, else 1.",
)
OWN_CATALOGUE = click.option(
    "--catalogue",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A catalogue of your own, shown with the program's.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
LOOK = click.option("--look", metavar="NAME", help="A look of the script.")
NO_CACHE = click.option("--no-cache", is_flag=True, help="Neither use nor keep what was traced before.")
SIZE = click.option(
    "--size",
    callback=_size,
    default="960",
    show_default=True,
    metavar="WIDTH[xHEIGHT]",
    help="Pixels; the frame keeps its delivered aspect within them.",
)
CELL = click.option(
    "--size",
    type=click.IntRange(160, 1920),
    default=480,
    show_default=True,
    metavar="WIDTH",
    help="Pixels across each picture as it is traced.",
)
PAGE = click.option(
    "--page", is_flag=True, help="Also write a page, one HTML file that needs no network, to send or print."
)


def names_in(text: str | None) -> tuple[str, ...]:
    """Names from `one, two`; none where nothing is given."""
    return tuple(name.strip() for name in (text or "").split(",") if name.strip())
