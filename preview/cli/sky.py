"""`preview sky`: the real night of a script's place."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import JSON, NO_CACHE, OUT, PAGE, SCENE
from preview.cli.progress import tracing
from preview.cli.told import compared, folder_of


@click.command()
@SCENE
@click.option("--setup", metavar="NAME", help="One setup of the script alone. Default: all of them.")
@click.option("--date", metavar="YEAR-MONTH-DAY", help="Another night, by its evening.")
@click.option("--time", metavar="HOUR:MINUTE", help="Another time of the night, by the clocks of the place.")
@click.option("--cloud", metavar="SHARE", help="Another cloud, as 40 %, 3/8 or overcast.")
@click.option(
    "--month", metavar="YEAR-MONTH", help="The month whose nights are ranked. Default: that of the night."
)
@click.option(
    "--want",
    metavar="DIRECTION",
    help="Where the moon is wanted: as the camera of the first setup sees it, such as back left, three-quarter back, side "
    "right, or an azimuth of the plan, such as 240. Default: as the script's own moon has it, else a head with motive: "
    "moon; a real moon is no wish.",
)
@click.option("--within", metavar="ANGLE", help="How far from a wanted azimuth it may be. Default: 30 deg.")
@click.option("--heights", metavar="LOW,HIGH", help="How high it is wanted, such as 10,45.")
@click.option("--lux", metavar="LUX", help="What it gives at least on what faces it. Default: 0.02 lux.")
@click.option(
    "--dark",
    type=click.Choice(["civil", "nautical", "astronomical"]),
    default="nautical",
    show_default=True,
    help="Which twilight must be over.",
)
@NO_CACHE
@OUT
@PAGE
@JSON
def sky(
    scene: Path,
    setup: str | None,
    date: str | None,
    time: str | None,
    cloud: str | None,
    month: str | None,
    want: str | None,
    within: str | None,
    heights: str | None,
    lux: str | None,
    dark: str,
    no_cache: bool,
    out: Path | None,
    page: bool,
    as_json: bool,
) -> None:
    """Sun and moon over the set by the hour: when it is dark, when the moon is in shot, which nights fit the look."""
    from preview.commands.sky.asked import sky_options
    from preview.commands.sky.command import sky as make
    from preview.script.read import read_script

    options = sky_options(
        setup=setup,
        date=date,
        time=time,
        cloud=cloud,
        month=month,
        want=want,
        within=within,
        heights=heights,
        lux=lux,
        dark=dark,
    )
    script = read_script(scene)
    with tracing(scene.stem, no_cache=no_cache, quiet=as_json) as (store, _):
        answer = make(script, options, store=store)
    compared(answer, out or folder_of(scene, setup or "sky"), page=page, as_json=as_json)
