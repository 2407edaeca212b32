"""`preview moon`: where the moon comes from, and where a head that plays it can stand."""

from __future__ import annotations

from math import degrees
from pathlib import Path
from typing import Literal

import click

from preview.cli.options import CELL, JSON, LOOK, NO_CACHE, OUT, PAGE, SCENE, SEED, SETUP
from preview.cli.progress import tracing
from preview.cli.told import compared, folder_of


@click.command()
@SCENE
@click.option(
    "--every", default="45", show_default=True, metavar="ANGLE", help="Between azimuths, round the set."
)
@click.option(
    "--heights",
    default="20,35,50",
    show_default=True,
    metavar="ANGLE,...",
    help="How high above the horizon; each azimuth has them all.",
)
@click.option(
    "--hard",
    "softness",
    flag_value="hard",
    default=True,
    help="As small as the real moon, and seen in shot as it is. The default.",
)
@click.option(
    "--soft",
    "softness",
    flag_value="soft",
    help="12 degrees across, as a large frame far off; not seen in shot.",
)
@click.option("--moon-size", metavar="ANGLE", help="Another size across, such as 6 deg.")
@click.option(
    "--lux", metavar="LUX", help="On what faces the moon. Default: what the script's moon gives now."
)
@click.option("--kelvin", metavar="KELVIN", help="Its colour. Default: that of the script's moon key.")
@click.option(
    "--weigh",
    metavar="WORD=WEIGHT,...",
    help="What counts: rim, faces, background, trees, house, texture, unseen; as rim=2,faces=1. What is not named counts "
    "for nothing. Default: rim=1,faces=1,background=1,texture=0.5.",
)
@click.option(
    "--rig",
    metavar="AZIMUTH,HEIGHT",
    help="For one direction, such as 45,35: where a head can stand that plays it, and which.",
)
@click.option(
    "--mark", metavar="NAME", help="With --rig: the mark that gets the lux. Default: the first face."
)
@CELL
@NO_CACHE
@SETUP
@LOOK
@OUT
@SEED
@PAGE
@JSON
def moon(
    scene: Path,
    every: str,
    heights: str,
    softness: Literal["hard", "soft"],
    moon_size: str | None,
    lux: str | None,
    kelvin: str | None,
    weigh: str | None,
    rig: str | None,
    mark: str | None,
    size: int,
    no_cache: bool,
    setup: str | None,
    look: str | None,
    out: Path | None,
    seed: int | None,
    page: bool,
    as_json: bool,
) -> None:
    """Compare directions of the moon: pictures, figures, a ranking; or find where a head can stand that plays one."""
    from preview.commands.moon.asked import direction_of, sweep_options
    from preview.commands.moon.rank import weights_of
    from preview.faults import UserError
    from preview.script.read import read_script

    asked = sweep_options(
        every=every, heights=heights, softness=softness, size=moon_size, lux=lux, kelvin=kelvin, across=size
    )
    weights = weights_of(weigh)
    if rig is not None:
        _refuse_swept()
    if mark is not None and rig is None:
        raise UserError("--mark goes with --rig: directions are told from the first face")
    script = read_script(scene)
    folder = out or folder_of(scene, setup or "main", look)
    title = f"{scene.stem}, {setup or 'main'}"
    chosen = script.scene(setup=setup, look=look).seed if seed is None else seed
    if rig is not None:
        from preview.commands.rig.command import RigOptions
        from preview.commands.rig.command import rig as make_rig

        azimuth, elevation = direction_of(rig)
        options = RigOptions(
            azimuth,
            elevation,
            lux=asked.lux,
            kelvin=asked.kelvin,
            setup=setup,
            look=look,
            mark=mark,
            looks_deg=None if moon_size is None and softness == "hard" else degrees(asked.size),
            across=size,
            seed=chosen,
        )
        with tracing(title, no_cache=no_cache, quiet=as_json) as (store, progress):
            answer = make_rig(script, options, store=store, progress=progress)
    else:
        from dataclasses import replace

        from preview.commands.moon.command import MoonOptions
        from preview.commands.moon.command import moon as make

        with tracing(title, no_cache=no_cache, quiet=as_json) as (store, progress):
            answer = make(
                script,
                MoonOptions(replace(asked, seed=chosen), setup, look, weights),
                store=store,
                progress=progress,
            )
    compared(answer, folder, page=page, as_json=as_json)


def _refuse_swept() -> None:
    """UserError where what only a sweep has is asked with --rig."""
    from click.core import ParameterSource

    from preview.faults import UserError

    context = click.get_current_context()
    for name in ("every", "heights", "weigh"):
        if context.get_parameter_source(name) is ParameterSource.COMMANDLINE:
            raise UserError(
                f"--{name} is for a sweep of directions, and --rig is for one: leave --{name} out"
            )
