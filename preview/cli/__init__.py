"""The command line: parse, call, print. A file a command."""

from preview.cli import (
    cache,
    catalogue,
    check,
    coverage,
    frame,
    gels,
    heads,
    lenses,
    looks,
    meter,
    moon,
    new,
    schema,
    setups,
    sky,
)
from preview.cli.app import app, run

for command in (
    cache.cache,
    catalogue.catalogue,
    check.check,
    coverage.coverage,
    frame.frame,
    gels.gels,
    heads.heads,
    lenses.lenses,
    looks.looks,
    meter.meter,
    moon.moon,
    new.new,
    schema.schema,
    setups.setups,
    sky.sky,
):
    app.add_command(command)

__all__ = ["app", "run"]
