"""Timing: how long a piece of work takes, with the chance of the machine taken out as far as repeats can."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from statistics import median


def seconds(work: Callable[[], object], *, repeats: int = 3) -> list[float]:
    """Wall seconds of each repeat."""
    answer = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        answer.append(time.perf_counter() - started)
    return answer


def by_turns(works: Mapping[str, Callable[[], object]], *, repeats: int = 3) -> dict[str, list[float]]:
    """The same of several works, one after another in each round, so that all see the same machine."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(repeats):
        for name, work in works.items():
            times[name] += seconds(work, repeats=1)
    return times


def best_and_median(times: list[float]) -> str:
    """As a table shows them."""
    return f"{min(times):.2f} / {median(times):.2f}"
