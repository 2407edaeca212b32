"""Cheats: what a setup says it moves on purpose, and why; keys that only a setup may use, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Iterator

from preview.script import quantities
from preview.script.document import Entry, Keys, Node, child
from preview.script.quantities import shown

CHEAT, ADDED = "cheat", "added"
LONGEST = 160
"""Letters of a reason: it is printed in a table."""
EXAMPLE = 'cheat: "half a step to camera left, to clear the post"'

_IN_A_SETUP = {
    CHEAT: "a cheat is a setup's: the script itself says where things are; write it in a setup, beside what it changes",
    ADDED: "a fixture of the script is there already; only a setup adds one",
}


def misplaced(root: Node) -> Iterator[tuple[Keys, str]]:
    """Keys of setups that are written in the cast and the fixtures of the script itself."""
    for section in ("cast", "fixtures"):
        entry = child(root, section)
        items = entry.node.value if entry is not None and isinstance(entry.node.value, list) else []
        for place, item in enumerate(items):
            for key, why in _IN_A_SETUP.items():
                if child(item.node, key) is not None:
                    yield (section, place, key), why


def faults_of_change(change: Node, keys: Keys) -> Iterator[tuple[Keys, str]]:
    """What is wrong with the cheat of one figure or fixture in a setup; `keys` is where the change is written."""
    entries = change.value if isinstance(change.value, dict) else {}
    if keys[-2] == "cast" and ADDED in entries:
        yield (*keys, ADDED), "a setup moves figures and adds none; put whoever is in it in the script's cast"
    reason = entries.get(CHEAT)
    if reason is None:
        return
    said = reason.node.value
    if not isinstance(said, str) or not said.strip():
        yield (*keys, CHEAT), f"say why, such as {EXAMPLE}, not {shown(said)}"
    elif len(said) > LONGEST:
        yield (*keys, CHEAT), f"{len(said)} letters are more than the {LONGEST} that a reason may have"
    elif not said.isprintable():
        yield (*keys, CHEAT), "a reason is one line of plain letters"
    torn = list(_torn_off(entries))
    for key in torn:
        yield (
            (*keys, key),
            f"this reads as the rest of the cheat's reason; put the whole of it in quotes: {EXAMPLE}",
        )
    if not set(entries) - {CHEAT, ADDED, *torn}:
        yield (
            (*keys, CHEAT),
            "a cheat of nothing: write beside it what this setup changes, such as at: [11, 6, 5.6]",
        )


def is_added(change: Node) -> bool:
    """Whether a setup says that a fixture is its own."""
    added = child(change, ADDED)
    try:
        return added is not None and quantities.yes(added.node.value)
    except ValueError:
        # What else stands there is told by the fixture's own key.
        return True


def _torn_off(entries: dict[str, Entry]) -> Iterator[str]:
    """What a comma in a reason without quotes has torn off it: keys of several words with nothing after them."""
    after = False
    for key, entry in entries.items():
        if after and " " in key and entry.node.value is None:
            yield key
        after = after or key == CHEAT
