"""`preview schema`: the JSON Schema of scripts."""

from __future__ import annotations

import click


@click.command()
def schema() -> None:
    """Print the JSON Schema of scene scripts, for editors."""
    from preview.script.schema import schema as make
    from preview.sheets.data import json_text

    print(json_text(make()))
