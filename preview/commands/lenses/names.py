"""Lens names: what is in shot as people call it, which lenses are meant, shares of the frame."""

from __future__ import annotations

from collections.abc import Sequence

from preview.script.words import listed_all

PARTS = {"frame stand": "frame's stand"}


def named(name: str) -> str:
    """A name of the script's as it stands in a sentence: set apart, since any word may be one."""
    return f'"{name}"'


def owner_and_part(name: str) -> tuple[str, str]:
    """Of `lane edge.stand`: lane edge, stand; of `ground, west edge`: ground, west edge."""
    for mark in (", ", "."):
        owner, found, part = name.rpartition(mark)
        if found:
            return owner, PARTS.get(part, part)
    return name, ""


def called(names: Sequence[str]) -> str:
    """`the stand and cloth of "lane edge" and the west edge of "ground"`: what belongs together once."""
    parts: dict[str, list[str]] = {}
    for name in names:
        owner, part = owner_and_part(name)
        parts.setdefault(owner, []).append(part)
    return listed_all(
        [
            f"the {listed_all(_apart(found))} of {named(owner)}" if all(found) else named(owner)
            for owner, found in parts.items()
        ]
    )


def _apart(parts: Sequence[str]) -> list[str]:
    """The head's stand told apart where a frame's is named as well."""
    framed = PARTS["frame stand"] in parts
    return ["head's stand" if part == "stand" and framed else part for part in parts]


def span(names: Sequence[str], every: Sequence[str], *, formats: bool) -> str:
    """Which of the lenses, from the widest to the tightest: `From 35 mm down`, `At 21 and 85 mm`, `With every lens`."""
    kind = "format" if formats else "lens"
    if len(every) == 1:
        return f"{'On' if formats else 'At'} {names[0]}"
    if len(names) == len(every):
        return f"On every {kind}" if formats else f"With every {kind}"
    if formats:
        return f"On {listed_all([name.partition(', ')[0] for name in names])}"
    if len(names) > 1 and list(names) == list(every[: len(names)]):
        return f"From {names[-1]} down"
    if len(names) > 1 and list(names) == list(every[-len(names) :]):
        return f"From {names[0]} up"
    return f"At {listed_all([name.removesuffix(' mm') for name in names[:-1]] + [names[-1]])}"


def fraction(share: float) -> str:
    """`1/50`, round; of what is large, `0.3`."""
    if share <= 0.0:
        return "0"
    parts = 1.0 / share
    if parts < 2.5:
        return f"{share:.1f}"
    step = 1 if parts < 20 else 5 if parts < 100 else 10 if parts < 1000 else 100
    return f"1/{step * round(parts / step)}"


def percent(share: float) -> str:
    """`31 %`, `under 1 %`, `none`."""
    if share <= 0.0:
        return "none"
    return "under 1 %" if share < 0.01 else f"{100.0 * share:.0f} %"


def capital(words: str) -> str:
    return words[:1].upper() + words[1:]
