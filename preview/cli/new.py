"""`preview new`: a scene to start from."""

from __future__ import annotations

import click


@click.command()
@click.argument("name")
def new(name: str) -> None:
    """Write NAME.yaml, a small commented scene to start from."""
    import shlex

    from preview.commands.new import new as make

    path = make(name)
    print(f"Wrote {path}. Next: preview frame {shlex.quote(str(path))}")
