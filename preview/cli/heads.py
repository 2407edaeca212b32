"""`preview heads`: the heads there are."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import JSON, OWN_CATALOGUE
from preview.cli.told import printed


@click.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@OWN_CATALOGUE
@JSON
def heads(words: tuple[str, ...], catalogue: Path | None, as_json: bool) -> None:
    """List lamp heads, or those that WORDS fit: name, kind of lamp, watts; one alone with all that is known of it."""
    from preview.commands.heads import heads as find
    from preview.commands.heads import to_json
    from preview.sheets.data import json_text
    from preview.sheets.heads_text import heads_text

    rows = find(words, file=catalogue)
    if as_json:
        print(json_text(to_json(rows)))
        return
    printed(heads_text(rows))
