"""`preview cache`: what is kept of traced scenes."""

from __future__ import annotations

import click

from preview.cli.options import JSON
from preview.cli.told import printed


@click.command()
@click.option("--clear", is_flag=True, help="Empty it, and say how much room that gives.")
@JSON
def cache(clear: bool, as_json: bool) -> None:
    """Show the cache of traced layers: its place, size and scenes."""
    from preview.commands.cache import cache as look_into
    from preview.commands.cache import to_json, words
    from preview.sheets.data import json_text
    from preview.trace.store_place import usual_store

    report = look_into(usual_store(), clear=clear)
    if as_json:
        print(json_text(to_json(report)))
        return
    printed(words(report))
