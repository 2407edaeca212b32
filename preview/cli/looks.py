"""`preview looks`: looks side by side, and sweeps of what a look may change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from preview.cli.options import CELL, JSON, NO_CACHE, OUT, PAGE, SCENE, SEED, SETUP, names_in
from preview.cli.progress import tracing
from preview.cli.told import compared, folder_of

if TYPE_CHECKING:
    from preview.commands.looks.sweeps import Setting


@click.command()
@SCENE
@click.option("--looks", "names", metavar="NAME,NAME", help="Looks of the script; default: all of them.")
@click.option(
    "--level",
    "level",
    multiple=True,
    metavar="NAME=LEVELS",
    help='A fixture at several levels: "moon key=25,50,100", or "moon key=25..100" in five equal steps, /7 in seven.',
)
@click.option(
    "--kelvin",
    "kelvin",
    multiple=True,
    metavar="NAME=KELVINS",
    help='A fixture: "porch bulb=2200,2700,3200".',
)
@click.option(
    "--balance", metavar="KELVINS", help="The camera's white balance: 3200,4400,5600 or 3200..5600."
)
@click.option("--tint", metavar="POINTS", help="The camera's tint: -5,0,5.")
@click.option("--stop", metavar="STOPS", help="The lens's T-stop: 2,2.8,4 or 2..5.6/4.")
@click.option("--iso", metavar="SPEEDS", help="800,1600 or 400..3200/4. Two sweeps together make a grid.")
@CELL
@SETUP
@NO_CACHE
@OUT
@SEED
@PAGE
@JSON
def looks(
    scene: Path,
    names: str | None,
    level: tuple[str, ...],
    kelvin: tuple[str, ...],
    balance: str | None,
    tint: str | None,
    stop: str | None,
    iso: str | None,
    size: int,
    setup: str | None,
    no_cache: bool,
    out: Path | None,
    seed: int | None,
    page: bool,
    as_json: bool,
) -> None:
    """Compare a scene's looks, or sweep levels, kelvin, balance, stop and ISO: a sheet, figures, what to set."""
    from preview.commands.looks.command import LookOptions
    from preview.commands.looks.command import looks as make
    from preview.script.read import read_script

    script = read_script(scene)
    sweeps: list[tuple[Setting, str]] = [("level", text) for text in level]
    sweeps += [("kelvin", text) for text in kelvin]
    if balance is not None:
        sweeps.append(("balance", balance))
    if tint is not None:
        sweeps.append(("tint", tint))
    if stop is not None:
        sweeps.append(("stop", stop))
    if iso is not None:
        sweeps.append(("iso", iso))
    chosen = names_in(names)
    options = LookOptions(setup, chosen, tuple(sweeps), size, seed)
    with tracing(f"{scene.stem}, {setup or 'main'}", no_cache=no_cache, quiet=as_json) as (store, progress):
        answer = make(script, options, store=store, progress=progress)
    compared(answer, out or folder_of(scene, setup or "main"), page=page, as_json=as_json)
