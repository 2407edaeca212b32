"""Asked: what is given to an option on the command line, read as a script's quantities are."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from preview.faults import UserError

Value = TypeVar("Value")


def read_option(option: str, given: object, reader: Callable[[object], Value]) -> Value:
    """What a reader of quantities makes of it; UserError with the option's name for what it refuses."""
    try:
        return reader(given)
    except ValueError as error:
        raise UserError(f"{option}: {error}") from None
