"""Progress: the store of a command that traces, and how far it is, told on standard error."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from preview.trace.store import AnyStore

PATIENCE = 20.0
"""Seconds after which a run that nobody watches says how far it is."""


@contextmanager
def tracing(title: str, *, no_cache: bool, quiet: bool) -> Iterator[tuple[AnyStore, Callable[[float], None]]]:
    """The store and the progress of a command that traces; what the store has to say is said last."""
    from preview.trace.store_place import passing_store, usual_store

    with (
        passing_store() if no_cache else nullcontext(usual_store()) as store,
        progress_of(title, quiet=quiet) as progress,
    ):
        yield store, progress
    if store.warning:
        print(store.warning, file=sys.stderr)


@contextmanager
def progress_of(title: str, *, quiet: bool) -> Iterator[Callable[[float], None]]:
    """A bar on standard error for anything over a second, where somebody watches; else a line now and then."""
    if quiet or not sys.stderr.isatty():
        yield lines_of(title)
        return
    import time

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    bar = Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task(title, total=1.0)
    started, shown = time.monotonic(), False

    def tell(share: float) -> None:
        nonlocal shown
        if not shown and time.monotonic() - started > 1.0:
            bar.start()
            shown = True
        if shown:
            bar.update(task, completed=share)

    try:
        yield tell
    finally:
        if shown:
            bar.stop()


def lines_of(title: str) -> Callable[[float], None]:
    """Tells progress in lines on standard error, one for each tenth, of what takes longer than `PATIENCE`."""
    import time

    started, told = time.monotonic(), 0

    def tell(share: float) -> None:
        nonlocal told
        tenth = int(10.0 * share + 1e-6)
        if told < tenth < 10 and time.monotonic() - started > PATIENCE:
            told = tenth
            print(f"{title}: {10 * tenth} %", file=sys.stderr, flush=True)

    return tell
