"""Patches: the script's setups and looks laid over its own document, every key keeping its line.

Groups of keys are merged; lists, single values and places are replaced; a key with nothing after it goes back to
its default. Cast and fixtures are patched by name. A look is only arithmetic on light that is already traced.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from preview.script.cheats import is_added
from preview.script.document import Entry, Keys, Node, child
from preview.script.patch_limits import (
    GROUPS,
    LOOK_THROUGH,
    entries,
    faults_of_sections,
    is_clear,
    items_of,
    more_than_arithmetic,
)
from preview.script.quantities import shown
from preview.script.words import unknown

MAIN = "main"
"""The name of the script's own camera among the setups."""
MOST_PATCHES = 50

PLACES = ("at", "aim", "facing", "focus")
"""Replaced whole: half of one place with half of another is no place."""

_TO_ADD = "add one in this setup alone with added: yes beside its head and place"


@dataclass(frozen=True)
class Patch:
    """A setup or look: `keys` is where it is written, `node` what it changes."""

    kind: str
    name: str
    keys: Keys
    node: Node


Faults = list[tuple[Keys, str]]


def patches_of(root: Node) -> tuple[list[Patch], Faults]:
    """Every setup and look of a script, and what is wrong with their own keys."""
    found: list[Patch] = []
    faults: Faults = []
    for section, kind in (("setups", "setup"), ("looks", "look")):
        entry = child(root, section)
        if entry is None or entry.node.value is None:
            continue
        if not isinstance(entry.node.value, dict):
            faults.append(
                ((section,), f"a group of named {section} is needed, such as {section}: {{tight: {{…}}}}")
            )
            continue
        for name, written in entry.node.value.items():
            keys = (section, name)
            why = _bad_name(name, kind)
            if why:
                faults.append((keys, why))
            elif written.node.value is not None and not isinstance(written.node.value, dict):
                faults.append((keys, f"a {kind} is a group of keys, such as {{camera: {{…}}}}"))
            else:
                found.append(Patch(kind, name, keys, written.node))
        if len(entry.node.value) > MOST_PATCHES:
            faults.append(((section,), f"more than {MOST_PATCHES} {section}"))
            del found[MOST_PATCHES:]
    for patch in found:
        faults += faults_of_sections(patch)
        if patch.kind == "look":
            faults += more_than_arithmetic(patch)
    return found, faults


def without_patches(root: Node) -> Node:
    """The script's own scene."""
    assert isinstance(root.value, dict)
    return Node(
        root.line, {key: entry for key, entry in root.value.items() if key not in ("setups", "looks")}
    )


def patched(root: Node, patch: Patch) -> tuple[Node, Faults]:
    """The scene under a setup or look, and the names in it that nobody bears."""
    assert isinstance(root.value, dict)
    faults: Faults = []
    sections = dict(root.value)
    for section, entry in entries(patch.node):
        keys = (*patch.keys, section)
        own = sections.get(section)
        if section in GROUPS and isinstance(entry.node.value, dict):
            base = own.node if own else Node(entry.line, {})
            line, origin = (own.line, own.origin) if own else (entry.line, keys)
            sections[section] = Entry(line, _merged(base, entry.node, keys), origin)
        elif section == "haze" and is_clear(entry.node.value):
            sections.pop(section, None)
        elif section in ("cast", "fixtures") and isinstance(entry.node.value, dict):
            node, wrong = _by_name(own.node if own else Node(entry.line, []), entry.node, keys, patch.kind)
            faults += wrong
            sections[section] = Entry(own.line if own else entry.line, node)
    return Node(root.line, sections), faults


def _by_name(base: Node, patch: Node, keys: Keys, kind: str) -> tuple[Node, Faults]:
    """A list of cast or fixtures whose items are patched by their names."""
    if not isinstance(base.value, list):
        return base, []
    faults: Faults = []
    items = list(base.value)
    names = [_name(item.node) for item in items]
    for name, entry in entries(patch):
        adds = kind == "setup" and keys[-1] == "fixtures" and is_added(entry.node)
        if name not in names and adds:
            items.append(_with_name(name, entry, (*keys, name)))
            continue
        if name not in names:
            noun = "figure" if keys[-1] == "cast" else "fixture"
            why = unknown(noun, name, [known for known in names if known])
            may_add = kind == "setup" and noun == "fixture"
            faults.append(
                (
                    (*keys, name),
                    f"{why} Or {_TO_ADD}"
                    if may_add and why.endswith("?")
                    else f"{why}; or {_TO_ADD}"
                    if may_add
                    else why,
                )
            )
            continue
        if not isinstance(entry.node.value, dict):
            continue
        if adds:
            faults.append(
                (
                    (*keys, name, "added"),
                    f"the script has a fixture {shown(name)}; give this one a name of its own",
                )
            )
            continue
        place = names.index(name)
        own, change = items[place], entry.node
        if kind == "look":
            change = _with_own_frames(own.node, change, (keys[-1], place, "through"))
        items[place] = Entry(own.line, _merged(own.node, change, (*keys, name)), own.origin)
    return Node(base.line, items), faults


def _with_name(name: str, entry: Entry, keys: Keys) -> Entry:
    """A fixture that a setup adds, as an item of the list of fixtures."""
    assert isinstance(entry.node.value, dict)
    named = {"name": Entry(entry.line, Node(entry.line, name), keys), **entry.node.value}
    return Entry(entry.line, Node(entry.line, named), keys)


def unwritten_look(change: Mapping[str, Any]) -> Patch:
    """A look that no script has, of plain groups of keys."""
    return Patch("look", "", ("looks", ""), _unwritten(change))


def _unwritten(value: Any) -> Node:
    if isinstance(value, Mapping):
        return Node(0, {key: Entry(0, _unwritten(each)) for key, each in value.items()})
    if isinstance(value, list):
        return Node(0, [Entry(0, _unwritten(each)) for each in value])
    return Node(0, value)


def without_change(patch: Patch, section: str, name: str) -> Patch:
    """The same setup, but for what it changes of one figure (`cast`) or fixture (`fixtures`)."""
    entry = child(patch.node, section)
    if entry is None or not isinstance(entry.node.value, dict) or not isinstance(patch.node.value, dict):
        return patch
    rest = {other: change for other, change in entry.node.value.items() if other != name}
    kept = replace(entry, node=Node(entry.node.line, rest))
    return replace(patch, node=Node(patch.node.line, {**patch.node.value, section: kept}))


def _merged(base: Node, patch: Node, keys: Keys) -> Node:
    """`patch` laid over `base`; its entries remember where they are written."""
    if not isinstance(base.value, dict) or not isinstance(patch.value, dict):
        return patch
    entries = dict(base.value)
    for key, entry in patch.value.items():
        own = entries.get(key)
        where = entry.origin or (*keys, key)
        if entry.node.value is None and own is not None:
            del entries[key]
        elif own is not None and key not in PLACES and isinstance(entry.node.value, dict):
            node = _merged(own.node, entry.node, where)
            # A group that is merged stays where it was; only what is new in it is written elsewhere.
            merged = isinstance(own.node.value, dict)
            entries[key] = Entry(own.line, node, own.origin) if merged else Entry(entry.line, node, where)
        else:
            entries[key] = Entry(entry.line, entry.node, where)
    return Node(base.line, entries)


def _with_own_frames(own: Node, change: Node, keys: Keys) -> Node:
    """A look's `through` with what of the fixture's is traced after it, frames and the like: a look leaves that.

    `keys` is where the fixture's own `through` is written.
    """
    assert isinstance(change.value, dict)
    new = change.value.get("through")
    own_through = child(own, "through")
    if new is None or not isinstance(new.node.value, list):
        return change
    frames = [
        Entry(entry.line, entry.node, entry.origin or (*keys, place))
        for place, entry in enumerate(items_of(own_through.node) if own_through else [])
        if not any(child(entry.node, key) is not None for key in LOOK_THROUGH)
    ]
    through = Node(new.node.line, [*new.node.value, *frames])
    return Node(change.line, {**change.value, "through": Entry(new.line, through)})


def _bad_name(name: str, kind: str) -> str | None:
    if name.lower() == MAIN:
        return f'"{MAIN}" names the script\'s own camera and levels; choose another name'
    if not name.strip() or len(name) > 60 or name != name.strip():
        return f"the name of a {kind} has 1 to 60 letters"
    if any(letter in '.[]/\\:*?"<>|' or not letter.isprintable() for letter in name):
        return f"{shown(name)} cannot name a {kind}: it will name a folder"
    return None


def _name(node: Node) -> str | None:
    entry = child(node, "name")
    return entry.node.value if entry is not None and isinstance(entry.node.value, str) else None
