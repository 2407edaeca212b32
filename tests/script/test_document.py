"""YAML as it may be written, by mistake or by malice: every outcome is a document or a sentence with its line.

What YAML 1.1 takes for numbers and truth values: yaml.org, types int, float, bool, merge (2005).
"""

# ruff: noqa: E501 - sentences and scripts are written whole
from __future__ import annotations

from pathlib import Path

import pytest

from preview.faults import UserError
from preview.script import document
from preview.script.document import load, locate, path_text, plain


def read(tmp_path: Path, text: str | bytes) -> document.Document:
    file = tmp_path / "scene.yaml"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    return load(file)


def complaint(tmp_path: Path, text: str | bytes) -> str:
    with pytest.raises(UserError) as caught:
        read(tmp_path, text)
    return str(caught.value).replace(str(tmp_path / "scene.yaml"), "scene.yaml")


def test_values_and_lines(tmp_path: Path) -> None:
    found = read(tmp_path, "title: x\nset:\n  - box: {at: [1,\n      2.5]}\n  - {wall: 3}\n# end\ncast: []\n")
    assert plain(found.root) == {"title": "x", "set": [{"box": {"at": [1, 2.5]}}, {"wall": 3}], "cast": []}
    assert locate(found.root, ("title",)) == (1, ("title",))
    assert locate(found.root, ("set", 0, "box", "at", 1)) == (4, ("set", 0, "box", "at", 1))
    assert locate(found.root, ("set", 1, "wall")) == (5, ("set", 1, "wall"))
    assert locate(found.root, ("set", 1, "size", "deep")) == (5, ("set", 1, "size", "deep"))
    assert locate(found.root, ("cast",))[0] == 7
    assert path_text(("fixtures", 0, "through", 1, "cloth")) == "fixtures[0].through[1].cloth"


def test_only_what_everybody_reads_alike_is_more_than_text(tmp_path: Path) -> None:
    text = "a: 1:30\nb: 0x10\nc: 010\nd: no\ne: 1e3\nf: .inf\ng: 2024-01-01\nh: 1_000\ni: 12\nj: -1.5\nk: true\nl: ~\nm: '5'\nn: 0\n"
    assert plain(read(tmp_path, text).root) == {
        "a": "1:30", "b": "0x10", "c": "010", "d": "no", "e": "1e3", "f": ".inf", "g": "2024-01-01", "h": "1_000",
        "i": 12, "j": -1.5, "k": True, "l": None, "m": "5", "n": 0,
    }  # fmt: skip


def test_aliases_and_merged_keys(tmp_path: Path) -> None:
    found = read(tmp_path, "a: &p {x: 1, y: 2}\nb: *p\nc:\n  <<: *p\n  y: 3\nd: {<<: [*p, {z: 1}]}\n")
    assert plain(found.root) == {
        "a": {"x": 1, "y": 2},
        "b": {"x": 1, "y": 2},
        "c": {"x": 1, "y": 3},
        "d": {"x": 1, "y": 2, "z": 1},
    }
    assert locate(found.root, ("c", "x"))[0] == 4


def test_a_key_twice(tmp_path: Path) -> None:
    found = read(tmp_path, "a: {x: 1, y: 2,\n  x: 3}\nb:\n  - z: 1\n    z: 2\n")
    assert [str(fault).split("scene.yaml")[1] for fault in found.faults] == [
        ":2: a.x: this key is already written in line 1",
        ":5: b[0].z: this key is already written in line 4",
    ]
    assert plain(found.root)["a"] == {"x": 1, "y": 2}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a:\n\tb: 1\n", "scene.yaml:2: this line is indented with a tab; YAML allows spaces only"),
        ("a: @x\n", "scene.yaml:1: a value cannot start with @; put the value in quotes"),
        ("a: 1\nb: [1, 2\nc: 3\n", "scene.yaml:2: the list that [ opens here lacks a comma or its ]"),
        ("a: {x: 1\nb: 2\n", "scene.yaml:1: the group that { opens here lacks a comma or its }"),
        ("a: 'x\nb: 1\n", "scene.yaml:1: the quote that opens here is never closed"),
        ("a: b: c\n", "scene.yaml:1: a colon too many, or the wrong indentation; text that holds a colon needs quotes"),
        ("a: 1\n  b: 2\n", "scene.yaml:2: a colon too many, or the wrong indentation; text that holds a colon needs quotes"),
        ("- a\nb: 1\n", "scene.yaml:2: this line does not fit what stands above it; check its indentation"),
        ('a: "\\q"\n', "scene.yaml:1: a \\ inside \"…\" starts an escape that does not exist; write \\\\ or use '…'"),
        ("a: !!python/object/apply:os.system [ls]\n", "scene.yaml:1: the tag !!python/object/apply:os.system is not allowed; a scene holds plain values only"),
        ("a: !house {}\n", "scene.yaml:1: the tag !house is not allowed; a scene holds plain values only"),
        ("a: !x!y 1\n", "scene.yaml:1: tags (!) are not allowed; a scene holds plain values only"),
        ("a: *b\n", "scene.yaml:1: *b repeats nothing: no such &anchor comes before"),
        ("a: &b [1, *b]\n", "scene.yaml:1: *b stands inside what it repeats"),
        ("a: 1\n---\nb: 2\n", "scene.yaml:2: a second document starts here (---); a file holds one scene"),
        ("? [a]\n: 1\n", "scene.yaml:1: a key must be plain text, not a list or a group"),
        ("? \n: 1\n", "scene.yaml:1: a key is missing before the colon"),
        ("a: [1,,2]\n", "scene.yaml:1: a value is missing here, beside a comma, a colon or a bracket"),
        ("<<: 3\n", "scene.yaml:1: << takes a group of keys, such as *anchor"),
        ("- a\n", "scene.yaml:1: a scene is a group of keys (title, set, cast, camera, fixtures …), not a list"),
        ("hello\n", "scene.yaml:1: a scene is a group of keys (title, set, cast, camera, fixtures …), not a single value"),
        ("", "scene.yaml: the file is empty; `preview new NAME` writes a scene to start from"),
        ("# only this\n", "scene.yaml: the file is empty; `preview new NAME` writes a scene to start from"),
        ("a: 1\nb: \x00\n", "scene.yaml:2: an invisible control character (U+0000) is in this line"),
        (b"a: 1\nb: \xff\n", "scene.yaml:2: this is not UTF-8 text; save the file as UTF-8"),
        ("a: 1\n".encode("utf-16"), "scene.yaml:1: this is not UTF-8 text; save the file as UTF-8"),
        ("a: " + "[" * 60, "scene.yaml:1: nested more than 32 levels deep"),
        (b"#" * 1_000_001, "scene.yaml: the file is larger than 1 MB, which no scene is"),
    ],
)  # fmt: skip
def test_what_cannot_be_read(tmp_path: Path, text: str | bytes, words: str) -> None:
    assert complaint(tmp_path, text) == words


def test_both_parsers_complain_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import yaml

    texts = [
        "a:\n\tb: 1\n",
        "a: [1, 2\nb: 3\n",
        "a: {x: 1\nb: 2\n",
        "a: 'x\nb: 1\n",
        "a: b: c\n",
        "- a\nb: 1\n",
        "a: @x\n",
    ]
    usual = [complaint(tmp_path, text) for text in texts]
    monkeypatch.setattr(document, "_PARSER", yaml.SafeLoader)
    assert [complaint(tmp_path, text) for text in texts] == usual


def test_aliases_that_multiply(tmp_path: Path) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    assert complaint(tmp_path, "\n".join(lines)).endswith(
        "more than 50000 values, aliases written out; no scene needs that many"
    )


def test_merged_keys_that_multiply(tmp_path: Path) -> None:
    wide = ", ".join(f"k{n}: 1" for n in range(1000))
    text = f"a: &a {{{wide}}}\n" + "".join(f"b{n}: {{<<: *a}}\n" for n in range(100))
    assert complaint(tmp_path, text).endswith(
        "more than 50000 values, aliases written out; no scene needs that many"
    )


def test_files_that_are_none(tmp_path: Path) -> None:
    with pytest.raises(UserError, match="this is a folder, not a scene file"):
        load(tmp_path)
    (tmp_path / "gate.yaml").write_text("a: 1")
    with pytest.raises(UserError, match=r"there is no such file; beside it there is gate.yaml"):
        load(tmp_path / "gat.yaml")
    with pytest.raises(UserError, match="there is no such file"):
        load(tmp_path / "nowhere" / "gate.yaml")
    with pytest.raises(UserError, match="this file cannot be read: file name too long"):
        load(tmp_path / ("x" * 300))
    with pytest.raises(UserError, match="this file cannot be read"):
        load(Path("a\0b"))
    with pytest.raises(UserError, match="this is not an ordinary file"):
        load(Path("/dev/null"))


def test_a_byte_order_mark_and_windows_line_ends(tmp_path: Path) -> None:
    found = read(tmp_path, b"\xef\xbb\xbfa: 1\r\nb:\r\n  - c: 2\r\n")
    assert plain(found.root) == {"a": 1, "b": [{"c": 2}]}
    assert locate(found.root, ("b", 0, "c"))[0] == 3
