"""`preview catalogue`: the picture book."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.progress import tracing


@click.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@click.option("--no-cache", is_flag=True, help="Neither use nor keep pictures that were drawn before.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("renders/catalogue"),
    show_default=True,
    metavar="FOLDER",
    help="Where to write.",
)
def catalogue(words: tuple[str, ...], no_cache: bool, out: Path) -> None:
    """Draw all there is as contact sheets, or what WORDS fit: set pieces, cast, materials, heads."""
    from preview.commands.catalogue import catalogue as make

    with tracing("The catalogue", no_cache=no_cache, quiet=False) as (store, progress):
        book = make(words, out, store=store, progress=progress)
    pictures = "1 picture" if book.cells == 1 else f"{book.cells} pictures"
    print(f"Wrote {', '.join(book.files)}, {pictures}, in {out}")
