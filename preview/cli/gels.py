"""`preview gels`: the gels there are, and what takes one light to another."""

from __future__ import annotations

from pathlib import Path

import click

from preview.cli.options import JSON, OWN_CATALOGUE
from preview.cli.told import printed


@click.command()
@click.argument("words", nargs=-1, metavar="[WORDS]...")
@click.option(
    "--from",
    "start",
    metavar="LIGHT",
    help="With --to: find the stacks of gels that take one light to another. A kelvin, a spectrum's name, or x,y.",
)
@click.option("--to", "wanted", metavar="LIGHT", help="The light to reach.")
@OWN_CATALOGUE
@JSON
def gels(
    words: tuple[str, ...], start: str | None, wanted: str | None, catalogue: Path | None, as_json: bool
) -> None:
    """List gels, or those that WORDS fit, with shift and loss; or find what takes one light to another."""
    from preview.commands.gels import gels as find
    from preview.commands.gels import search, to_json
    from preview.sheets.data import json_text
    from preview.sheets.gels_text import gels_text

    if (start is None) != (wanted is None):
        raise click.UsageError("--from and --to go together, as --from 5600 --to sodium.")
    lists = start is None or wanted is None
    found = find(words, file=catalogue) if lists else search(str(start), str(wanted), words, file=catalogue)
    if as_json:
        print(json_text(to_json(found)))
        return
    printed(gels_text(found))
