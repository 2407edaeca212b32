"""The command line: parse, call, print. A file a command."""

from preview.cli import cache, catalogue, check, coverage, frame, gels, heads, meter, new, schema
from preview.cli.app import app, run

for command in (
    cache.cache,
    catalogue.catalogue,
    check.check,
    coverage.coverage,
    frame.frame,
    gels.gels,
    heads.heads,
    meter.meter,
    new.new,
    schema.schema,
):
    app.add_command(command)

__all__ = ["app", "run"]
