"""`preview check`: a script validated."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import SCENE
from preview.cli.told import printed


@click.command()
@SCENE
@click.option("--explain", is_flag=True, help="Show every value that was filled in by default.")
def check(scene: Path, explain: bool) -> None:
    """Validate every setup and look, and say what is in a scene."""
    from preview.commands.check import check as make

    parts = make(scene, explain=explain)
    printed(parts)
