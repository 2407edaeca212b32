"""`preview lenses`: what a wide lens shows against a tight one."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import CELL, JSON, LOOK, NO_CACHE, OUT, PAGE, SCENE, SEED, SETUP
from preview.cli.progress import tracing
from preview.cli.told import compared, folder_of


@click.command()
@SCENE
@click.option(
    "--focal",
    metavar="LENSES",
    help="Focal lengths, as 24,35,50,85, or a range, 24..70; default: a ladder round the script's lens.",
)
@click.option(
    "--hold", metavar="FIGURE", help="The figure keeps its size and place in frame; the camera moves."
)
@click.option(
    "--format",
    "formats",
    metavar="FORMATS",
    help="One lens on several formats, as full-frame,super16; or another format.",
)
@click.option("--match", is_flag=True, help="With several formats: on each the lens of the same field.")
@CELL
@NO_CACHE
@SETUP
@LOOK
@OUT
@SEED
@PAGE
@JSON
def lenses(
    scene: Path,
    focal: str | None,
    hold: str | None,
    formats: str | None,
    match: bool,
    size: int,
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    page: bool,
    as_json: bool,
) -> None:
    """Compare lenses, or formats: what each sees, what comes into shot, what is sharp."""
    from preview.commands.lenses.command import lenses as make
    from preview.commands.lenses.ladder import LensOptions, read_focals, read_formats
    from preview.script.read import read_script

    focals = None if focal is None else read_focals(focal)
    names = () if formats is None else read_formats(formats)
    ready = read_script(scene).scene(setup=setup, look=look)
    options = LensOptions(focals, hold, names, match, size, ready.seed if seed is None else seed)
    with tracing(f"{ready.title}, {ready.setup}", no_cache=no_cache, quiet=as_json) as (store, progress):
        answer = make(ready, options, store=store, progress=progress)
    compared(answer, out or folder_of(scene, ready.setup, look), page=page, as_json=as_json)
