"""App: the group of all commands, and how a run of one ends."""

from __future__ import annotations

import sys

import click

from preview import __version__

MOST_FAULTS = 50
"""Faults that are printed; a file with more has one cause that makes them all."""


@click.group(context_settings={"help_option_names": ["-h", "--help"]}, invoke_without_command=True)
@click.version_option(__version__, prog_name="preview")
@click.pass_context
def app(context: click.Context) -> None:
    """Computes the light of a planned night exterior and shows it as the camera would see it."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


def run(arguments: list[str]) -> int:
    """Runs the command and returns its exit status; a user's mistakes are told on standard error, a line each."""
    from preview.faults import UserError

    try:
        # Not app(): that prints an empty line at ctrl-C and hides what the interrupt says.
        with app.make_context("preview", arguments) as context:
            app.invoke(context)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.ClickException as error:
        print(error.format_message(), file=sys.stderr)
        return error.exit_code
    except UserError as error:
        for fault in error.faults[:MOST_FAULTS]:
            print(fault, file=sys.stderr)
        more = len(error.faults) - MOST_FAULTS
        if more > 0:
            print(f"… and {more} more.", file=sys.stderr)
        return 2
    except MemoryError:
        print("This machine's memory cannot hold the frame: ask for a smaller --size.", file=sys.stderr)
        return 2
    return 0
