"""Document: a YAML file as plain data in which every key and list item knows its line.

The file is read as a stream of parsing events, which builds no objects of any kind: nothing in it can run code.
Size, depth and the number of values after the expansion of aliases are bounded while it is read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

import yaml

from preview.faults import Fault, UserError

MAX_BYTES = 1_000_000
MAX_DEPTH = 32
MAX_VALUES = 50_000

Key = str | int
Keys = tuple[Key, ...]
Scalar = str | int | float | bool | None

_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PLAIN_TAGS = {f"tag:yaml.org,2002:{kind}" for kind in ("str", "int", "float", "bool", "null", "seq", "map")}
_QUOTED = ("'", '"', "|", ">")
_UNFIT = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_WHOLE = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,17})")
_DECIMAL = re.compile(r"[+-]?(?:[0-9]+\.[0-9]*|\.[0-9]+)")


@dataclass(frozen=True)
class Node:
    """One value of the file: a scalar, or entries by key or in order. `size` counts values, `depth` levels."""

    line: int
    value: Scalar | dict[str, Entry] | list[Entry]
    size: int = 1
    depth: int = 0


@dataclass(frozen=True)
class Entry:
    """A node under a key or in a list: the line where it is written, and its path where it comes from elsewhere."""

    line: int
    node: Node
    origin: Keys | None = None


@dataclass(frozen=True)
class FileKind:
    """What a file is: `noun` as in `no scene`, `keys` that it starts with, what to do about an empty one."""

    noun: str
    keys: str
    if_empty: str = ""


SCENE = FileKind(
    "scene", "title, set, cast, camera, fixtures …", "; `preview new NAME` writes a scene to start from"
)


@dataclass(frozen=True)
class Document:
    """A file as read; `faults` are those that did not keep it from being read (keys written twice)."""

    path: Path
    root: Node
    faults: tuple[Fault, ...]


def plain(node: Node) -> Any:
    """The node as dicts, lists and scalars."""
    if isinstance(node.value, dict):
        return {key: plain(entry.node) for key, entry in node.value.items()}
    if isinstance(node.value, list):
        return [plain(entry.node) for entry in node.value]
    return node.value


def child(node: Node, key: Key) -> Entry | None:
    """What stands under a key or at an index, if anything does."""
    if isinstance(node.value, dict):
        return node.value.get(cast(str, key))
    if isinstance(node.value, list) and isinstance(key, int) and 0 <= key < len(node.value):
        return node.value[key]
    return None


def locate(root: Node, keys: Keys) -> tuple[int, Keys]:
    """The line of a path of keys, or of as much of it as is written, and the path where it is written."""
    node, line = root, root.line
    shown: Keys = ()
    for place, key in enumerate(keys):
        entry = child(node, key)
        if entry is None:
            return line, shown + keys[place:]
        node, line = entry.node, entry.line
        shown = entry.origin if entry.origin is not None else (*shown, key)
    return line, shown


def path_text(keys: Keys) -> str:
    """A path as a person reads it: `fixtures[0].through[1].cloth`."""
    text = ""
    for key in keys:
        if isinstance(key, int):
            text += f"[{key}]"
        else:
            key = key if len(key) <= 60 else f"{key[:57]}…"
            text += f".{key}" if text else key
    return text


def load(path: Path, kind: FileKind = SCENE) -> Document:
    """The document of a file; UserError, with the line where there is one, if it cannot be read as YAML."""
    text = _text(path, kind)
    builder = _Builder(path, kind)
    try:
        for event in yaml.parse(text, Loader=_PARSER):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        raise UserError(_syntax_fault(path, text, error, kind)) from None
    except yaml.YAMLError as error:  # pragma: no cover - every other kind is caught before parsing
        raise UserError(Fault(path, None, "", f"this is not valid YAML: {error}")) from None
    if builder.root is None or builder.root.value is None:
        raise UserError(Fault(path, None, "", f"the file is empty{kind.if_empty}"))
    if not isinstance(builder.root.value, dict):
        raise UserError(
            Fault(
                path,
                builder.root.line,
                "",
                f"a {kind.noun} is a group of keys ({kind.keys}), not "
                + ("a list" if isinstance(builder.root.value, list) else "a single value"),
            )
        )
    return Document(path, builder.root, tuple(builder.faults))


def _text(path: Path, kind: FileKind) -> str:
    def refuse(why: str) -> UserError:
        return UserError(Fault(path, None, "", why))

    try:
        if path.is_dir():
            raise refuse(f"this is a folder, not a {kind.noun} file")
        if path.exists() and not path.is_file():
            raise refuse("this is not an ordinary file")
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        near = _scenes_beside(path)
        raise refuse("there is no such file" + (f"; beside it there is {near}" if near else "")) from None
    except PermissionError:
        raise refuse("this file may not be read: permission denied") from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refuse(f"this file cannot be read: {why[:1].lower()}{why[1:]}") from None
    if len(raw) > MAX_BYTES:
        raise refuse(f"the file is larger than 1 MB, which no {kind.noun} is")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise UserError(Fault(path, line, "", "this is not UTF-8 text; save the file as UTF-8")) from None
    unfit = _UNFIT.search(text)
    if unfit:
        line = text.count("\n", 0, unfit.start()) + 1
        code = f"U+{ord(unfit.group()):04X}"
        raise UserError(Fault(path, line, "", f"an invisible control character ({code}) is in this line"))
    return text


def _scenes_beside(path: Path) -> str:
    try:
        names = sorted(file.name for file in path.parent.glob("*.yaml"))[:5]
    except OSError:
        return ""
    return ", ".join(names)


@dataclass
class _Group:
    """A mapping or list that is being read."""

    line: int
    value: dict[str, Entry] | list[Entry]
    anchor: str | None
    first_lines: dict[str, int] = field(default_factory=dict)
    key: tuple[str, int] | None = None
    merged: list[tuple[int, Node]] = field(default_factory=list)


class _Builder:
    """Takes parsing events one by one and leaves the tree in `root`."""

    def __init__(self, path: Path, kind: FileKind) -> None:
        self.path = path
        self.noun = kind.noun
        self.root: Node | None = None
        self.faults: list[Fault] = []
        self._open: list[_Group] = []
        self._anchors: dict[str, Node | None] = {}
        self._documents = 0
        self._values = 0

    def take(self, event: Any) -> None:
        line = event.start_mark.line + 1
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self._refuse(line, f"a second document starts here (---); a file holds one {self.noun}")
        elif isinstance(event, yaml.AliasEvent):
            name = str(event.anchor)
            node = self._anchors.get(name)
            if node is None:
                within = name in self._anchors
                why = (
                    "stands inside what it repeats"
                    if within
                    else "repeats nothing: no such &anchor comes before"
                )
                self._refuse(line, f"*{name[:60]} {why}")
            else:
                self._place(line, node, counts=node.size)
        elif isinstance(event, yaml.ScalarEvent):
            self._check_tag(line, event.tag)
            quoted = event.style in _QUOTED or event.tag in ("!", "tag:yaml.org,2002:str")
            node = Node(line, event.value if quoted else _scalar(event.value))
            if event.anchor:
                self._anchors[event.anchor] = node
            self._place(line, node, written=event.value, merges=not quoted)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            self._check_tag(line, event.tag)
            if self._open and isinstance(self._open[-1].value, dict) and self._open[-1].key is None:
                self._refuse(line, "a key must be plain text, not a list or a group")
            if event.anchor:
                self._anchors[event.anchor] = None
            is_map = isinstance(event, yaml.MappingStartEvent)
            self._open.append(_Group(line, {} if is_map else [], event.anchor))
            if len(self._open) > MAX_DEPTH:
                self._refuse(line, f"nested more than {MAX_DEPTH} levels deep")
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self._close()

    def _place(
        self, line: int, node: Node, *, counts: int = 1, written: str | None = None, merges: bool = False
    ) -> None:
        if len(self._open) + node.depth > MAX_DEPTH:
            self._refuse(line, f"nested more than {MAX_DEPTH} levels deep")
        self._values += counts
        if not self._open:
            self.root = node
            return
        group = self._open[-1]
        if isinstance(group.value, list):
            group.value.append(Entry(line, node))
        elif group.key is None:
            if written is None or (written == "" and merges):
                self._refuse(
                    line,
                    "a key must be plain text" if written is None else "a key is missing before the colon",
                )
            group.key = ("<<" if merges and written == "<<" else cast(str, written), line)
        else:
            key, key_line = group.key
            group.key = None
            if key == "<<":
                group.merged += [(key_line, merged) for merged in self._to_merge(key_line, node)]
            elif key in group.first_lines:
                where = path_text((*self._here(), key))
                message = f"this key is already written in line {group.first_lines[key]}"
                self.faults.append(Fault(self.path, key_line, where, message))
            else:
                group.first_lines[key] = key_line
                group.value[key] = Entry(key_line, node)
        if self._values > MAX_VALUES:
            self._refuse(
                line, f"more than {MAX_VALUES} values, aliases written out; no {self.noun} needs that many"
            )

    def _close(self) -> None:
        group = self._open.pop()
        if isinstance(group.value, dict):
            for line, merged in group.merged:
                assert isinstance(merged.value, dict)
                self._values += merged.size
                for key, entry in merged.value.items():
                    group.value.setdefault(key, Entry(line, entry.node))
        entries = group.value.values() if isinstance(group.value, dict) else group.value
        depth = 1 + max((entry.node.depth for entry in entries), default=0)
        node = Node(group.line, group.value, 1 + _size(group.value), depth)
        if group.anchor:
            self._anchors[group.anchor] = node
        self._place(group.line, node)

    def _to_merge(self, line: int, node: Node) -> Iterator[Node]:
        parts = [entry.node for entry in node.value] if isinstance(node.value, list) else [node]
        for part in parts:
            if not isinstance(part.value, dict):
                self._refuse(line, "<< takes a group of keys, such as *anchor")
            yield part

    def _here(self) -> Keys:
        """The path of the innermost group."""
        keys: list[Key] = []
        for group in self._open[:-1]:
            keys.append(
                len(group.value) if isinstance(group.value, list) else cast(tuple[str, int], group.key)[0]
            )
        return tuple(keys)

    def _check_tag(self, line: int, tag: str | None) -> None:
        if tag is not None and tag != "!" and tag not in _PLAIN_TAGS:
            short = tag.removeprefix("tag:yaml.org,2002:")
            mark = "!!" if short != tag else ""
            self._refuse(
                line, f"the tag {mark}{short[:60]} is not allowed; a {self.noun} holds plain values only"
            )

    def _refuse(self, line: int, message: str) -> None:
        raise UserError(*self.faults, Fault(self.path, line, "", message))


def _size(value: dict[str, Entry] | list[Entry]) -> int:
    entries = value.values() if isinstance(value, dict) else value
    return sum(entry.node.size for entry in entries)


def _scalar(text: str) -> Scalar:
    """A plain scalar: only what reads the same to everybody is more than text.

    YAML 1.1 takes 1:30 for ninety, 0x10 for sixteen, 010 for eight, `no` for false and 1e3 for text; here
    they stay text, which the field's own parser understands or refuses in words.
    """
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE", "false", "False", "FALSE"):
        return text.lower() == "true"
    if _WHOLE.fullmatch(text):
        return int(text)
    if len(text) <= 40 and _DECIMAL.fullmatch(text):
        return float(text)
    return text


def _syntax_fault(path: Path, text: str, error: yaml.MarkedYAMLError, kind: FileKind) -> Fault:
    """A parser's complaint in words that do not depend on which parser made it."""
    problem, context = error.problem or "", error.context or ""
    mark = error.problem_mark or error.context_mark
    line = mark.line + 1 if mark else 1
    opened = error.context_mark.line + 1 if error.context_mark else line
    lines = text.splitlines()
    at = lines[line - 1][mark.column : mark.column + 1] if mark and line <= len(lines) else ""
    if "cannot start any token" in problem:
        if at == "\t":
            message = "this line is indented with a tab; YAML allows spaces only"
        else:
            message = f"a value cannot start with {at}; put the value in quotes"
    elif "mapping values are not allowed" in problem:
        message = "a colon too many, or the wrong indentation; text that holds a colon needs quotes"
    elif "flow sequence" in context:
        line, message = opened, "the list that [ opens here lacks a comma or its ]"
    elif "flow mapping" in context:
        line, message = opened, "the group that { opens here lacks a comma or its }"
    elif "flow node" in context:
        message = "a value is missing here, beside a comma, a colon or a bracket"
    elif "nesting depth" in problem:
        message = f"nested more than {MAX_DEPTH} levels deep"
    elif "unexpected end of stream" in problem:
        line, message = opened, "the quote that opens here is never closed"
    elif "unknown escape" in problem:
        message = "a \\ inside \"…\" starts an escape that does not exist; write \\\\ or use '…'"
    elif "block mapping" in context or "block collection" in context or "block end" in problem:
        message = "this line does not fit what stands above it; check its indentation"
    elif "undefined tag" in problem or "tag handle" in problem:
        message = f"tags (!) are not allowed; a {kind.noun} holds plain values only"
    else:
        message = "this is not valid YAML" + (f": {problem}" if problem else "")
    return Fault(path, line, "", message)
