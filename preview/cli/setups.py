"""`preview setups`: every camera of a script side by side, and whether the light holds between them."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import CELL, JSON, LOOK, NO_CACHE, OUT, PAGE, SCENE, SEED, names_in
from preview.cli.progress import tracing
from preview.cli.told import compared, folder_of


@click.command()
@SCENE
@click.option(
    "--setups", "names", metavar="NAME,NAME", help="Those that are compared; default: all, main with them."
)
@click.option(
    "--tolerance",
    multiple=True,
    metavar="KIND=VALUE",
    help='How much may drift: "key=1/2,fill=1/2,ratio=1/2,rim=2/3,background=2/3,colour=15,background colour=40,'
    'azimuth=15,height=10".',
)
@CELL
@LOOK
@NO_CACHE
@OUT
@SEED
@PAGE
@JSON
def setups(
    scene: Path,
    names: str | None,
    tolerance: tuple[str, ...],
    size: int,
    look: str | None,
    no_cache: bool,
    out: Path | None,
    seed: int | None,
    page: bool,
    as_json: bool,
) -> None:
    """Compare a scene's setups, wide to tight: what holds in the cut, what drifts, what is cheated, who looks where."""
    from preview.commands.setups.command import SetupsOptions
    from preview.commands.setups.command import setups as make
    from preview.commands.setups.tolerance import tolerance_of
    from preview.script.read import read_script

    allowed = tolerance_of(tolerance)
    script = read_script(scene)
    chosen = names_in(names)
    options = SetupsOptions(chosen, look, allowed, size, seed)
    with tracing(f"{scene.stem}, setups", no_cache=no_cache, quiet=as_json) as (store, progress):
        answer = make(script, options, store=store, progress=progress)
    compared(answer, out or folder_of(scene, "main", look), page=page, as_json=as_json)
