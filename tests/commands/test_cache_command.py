"""`preview cache`: what it says of a store, and that it empties it."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import numpy as np
import pytest

from preview import cli
from preview.commands.cache import age, cache, size, trouble_with
from preview.trace.store_place import usual_store

KEYS = [f"{number:032x}" for number in range(5)]


def filled(folder: Path) -> None:
    """Two scenes, one of them in two setups, used at different times; a damaged entry; something of the user's."""
    store = usual_store()
    now = time.time()
    for key, label, megabytes, seconds in (
        (KEYS[0], "gate main: moon", 2, 3 * 86400 + 10),
        (KEYS[1], "gate main: sky: dome", 3, 7200 + 10),
        (KEYS[2], "gate tight: moon", 1, 90),
        (KEYS[3], "[barn] main: points", 1, 5),
        (KEYS[4], "gate main: porch", 1, 40 * 86400 + 10),
    ):
        store.put(key, {"layer": np.zeros(megabytes * 250_000, np.float32)}, kind="layer", label=label)
        path = folder / f"{key}.layers"
        if key == KEYS[4]:
            path.write_bytes(b"not an entry")
        os.utime(path, times=(now - seconds,) * 2)
    (folder / "notes.txt").write_text("mine")


def lines(capsys: pytest.CaptureFixture[str]) -> list[str]:
    return [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]


def test_there_is_none_yet(
    own_cache: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    assert cli.run(["cache"]) == 0
    assert lines(capsys) == [f"Layer cache: {own_cache}", "Empty, 0 MB of at most 4.0 GB."]
    assert cli.run(["cache", "--clear"]) == 0
    assert "Cleared: 0 MB freed." in lines(capsys)
    assert not own_cache.exists()


def test_scenes_are_told_newest_first(
    own_cache: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setenv("PREVIEW_CACHE_SIZE", "50 MB")
    filled(own_cache)
    assert cli.run(["cache"]) == 0
    assert lines(capsys) == [
        f"Layer cache: {own_cache}",
        "5 layers, 7.0 MB of at most 50 MB.",
        "",
        "scene layers size last used",
        "[barn] main 1 1.0 MB just now",
        "gate tight 1 1.0 MB 1 minute ago",
        "gate main 2 5.0 MB 2 hours ago",
        "damaged 1 0.1 MB 40 days ago",
    ]


def test_the_same_as_json(own_cache: Path, capsys: pytest.CaptureFixture[str]) -> None:
    filled(own_cache)
    assert cli.run(["cache", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    held = sum(path.stat().st_size for path in own_cache.glob("*.layers"))
    assert (told["folder"], told["entries"], told["bytes"]) == (str(own_cache), 5, held)
    assert (told["most_bytes"], told["freed"]) == (4_000_000_000, None)
    assert [(scene["scene"], scene["entries"]) for scene in told["scenes"]] == [
        ("[barn] main", 1),
        ("gate tight", 1),
        ("gate main", 2),
        ("damaged", 1),
    ]
    assert sum(scene["bytes"] for scene in told["scenes"]) == held


def test_clearing_empties_it_and_tells_what_was_freed(
    own_cache: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    filled(own_cache)
    held = sum(path.stat().st_size for path in own_cache.glob("*.layers"))
    assert cli.run(["cache", "--clear", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["freed"], told["entries"], told["scenes"]) == (held, 0, [])
    assert [path.name for path in own_cache.iterdir()] == ["notes.txt"]
    assert cache(usual_store(), clear=False).entries == 0


def test_a_wrong_bound_is_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PREVIEW_CACHE_SIZE", "large")
    assert cli.run(["cache"]) == 2
    assert capsys.readouterr().err == (
        'PREVIEW_CACHE_SIZE is "large", which is no size: write 8 GB or 500 MB.\n'
    )


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (0, "0 MB"),
        (1, "0.1 MB"),
        (1_240_000, "1.2 MB"),
        (9_940_000, "9.9 MB"),
        (9_960_000, "10 MB"),
        (999_400_000, "999 MB"),
        (999_600_000, "1.0 GB"),
        (4_000_000_000, "4.0 GB"),
    ],
)
def test_sizes_in_words(count: int, words: str) -> None:
    assert size(count) == words


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (-5.0, "just now"),
        (59.0, "just now"),
        (60.0, "1 minute ago"),
        (3599.0, "59 minutes ago"),
        (3600.0, "1 hour ago"),
        (86399.0, "23 hours ago"),
        (86400.0, "1 day ago"),
        (40 * 86400.0, "40 days ago"),
    ],
)
def test_ages_in_words(seconds: float, words: str) -> None:
    assert age(seconds) == words


def test_a_folder_of_no_use_is_not_called_empty(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file stands in its way: that nobody may write, whoever they are."""
    monkeypatch.setenv("COLUMNS", "300")
    (tmp_path / "file").write_text("mine")
    monkeypatch.setenv("PREVIEW_CACHE", str(tmp_path / "file" / "cache"))
    assert cli.run(["cache"]) == 0
    assert lines(capsys) == [
        f"Layer cache: {tmp_path / 'file' / 'cache'}",
        f"{tmp_path / 'file'} is not a folder: what is traced is not kept. PREVIEW_CACHE names another.",
    ]


@pytest.mark.parametrize(
    ("forbidden", "told"), [(os.R_OK | os.X_OK, "cannot be read"), (os.W_OK | os.X_OK, "cannot be written")]
)
def test_a_folder_that_is_closed_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, forbidden: int, told: str
) -> None:
    monkeypatch.setattr(os, "access", lambda path, mode: mode != forbidden)
    assert told in (trouble_with(tmp_path) or "")
    monkeypatch.undo()
    assert trouble_with(tmp_path) is None
