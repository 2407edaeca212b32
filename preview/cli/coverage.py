"""`preview coverage`: what the lens sees."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import JSON, OUT, SCENE, SETUP
from preview.cli.progress import progress_of
from preview.cli.told import answered, folder_of


@click.command()
@SCENE
@SETUP
@OUT
@JSON
def coverage(scene: Path, setup: str | None, out: Path | None, as_json: bool) -> None:
    """Say what the lens sees, and what must not be in shot."""
    from preview.camera.coverage import to_json
    from preview.commands.coverage import FILES
    from preview.commands.coverage import coverage as make
    from preview.script.read import read_scene
    from preview.sheets.coverage_text import coverage_text

    ready = read_scene(scene, setup=setup)
    folder = out or folder_of(scene, ready.setup)
    with progress_of(f"{ready.title}, {ready.setup}", quiet=as_json) as progress:
        answer = make(ready, folder, progress=progress)
    answered(to_json(answer) if as_json else None, coverage_text(answer), folder, FILES)
