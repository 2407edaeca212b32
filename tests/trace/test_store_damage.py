"""The store notices damage to an entry wherever it is, and drops the entry."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preview.trace import entry_file
from preview.trace.store import DAMAGED, Store
from tests.trace.storing import KEY, OTHER, file_of, put


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "layers", most_bytes=10**9)


def rewritten(store: Store, data: bytes) -> None:
    """Another file under the entry's name, as nobody changes one that may be mapped."""
    file_of(store).unlink(missing_ok=True)
    file_of(store).write_bytes(data)


def assert_dropped(store: Store) -> None:
    assert Store(store.folder, most_bytes=10**9).load(KEY) is None
    assert not file_of(store).exists()


def test_a_flip_anywhere_in_a_small_entry_is_noticed(store: Store) -> None:
    put(store, KEY)
    whole = file_of(store).read_bytes()
    assert len(whole) < 1000
    for place in range(len(whole)):
        rewritten(store, whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        assert_dropped(store)
    rewritten(store, whole)
    assert store.load(KEY) is not None


LARGE = {"first": np.full(2_100_000, 7, np.uint8), "second": np.zeros(70_001, np.uint8)}
"""More than the two blocks that the checksum reads at a time, its end in the middle of a row."""


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> tuple[Store, bytes]:
    store = Store(tmp_path_factory.mktemp("large"), most_bytes=10**9)
    put(store, KEY, LARGE)
    return store, file_of(store).read_bytes()


def places_of_arrays(whole: bytes) -> list[int]:
    """First, middle and last byte of each array: 7s, then zeros."""
    start = whole.index(bytes([7]) * 100)
    second = start + 64 * -(-2_100_000 // 64)
    return [
        *(start, start + 1_050_000, start + 2_099_999),
        *(second, second + 35_000, second + 70_000),
    ]


@pytest.mark.parametrize("number", range(6))
@pytest.mark.parametrize("bit", [1, 128])
def test_damage_at_the_borders_of_arrays(large: tuple[Store, bytes], number: int, bit: int) -> None:
    store, whole = large
    damaged = bytearray(whole)
    damaged[places_of_arrays(whole)[number]] ^= bit
    rewritten(store, bytes(damaged))
    assert_dropped(store)


@given(data=st.data())
def test_random_damage(large: tuple[Store, bytes], data: st.DataObject) -> None:
    store, whole = large
    places = data.draw(st.lists(st.integers(0, len(whole) - 1), min_size=1, max_size=6, unique=True))
    damaged = bytearray(whole)
    for place in places:
        damaged[place] ^= data.draw(st.integers(1, 255))
    rewritten(store, bytes(damaged))
    assert_dropped(store)


@pytest.mark.parametrize("length", [0, 1, 63, 64, 100, -64, -1])
def test_a_file_that_is_cut_short(large: tuple[Store, bytes], length: int) -> None:
    store, whole = large
    rewritten(store, whole[:length])
    assert_dropped(store)


def test_a_file_with_more_at_its_end(large: tuple[Store, bytes]) -> None:
    store, whole = large
    rewritten(store, whole + b"\0")
    assert_dropped(store)


def test_pages_that_never_reached_the_disk(large: tuple[Store, bytes]) -> None:
    # As after a loss of power: a file of the right length with zeros in it.
    store, whole = large
    for start in (0, 4096, 1_048_576):
        rewritten(store, whole[:start] + bytes(4096) + whole[start + 4096 :])
        assert_dropped(store)


def test_rows_that_have_changed_places(store: Store) -> None:
    numbers = np.arange(400_000, dtype=np.uint32)
    put(store, KEY, {"numbers": numbers})
    whole = file_of(store).read_bytes()
    row = entry_file.ROW
    rewritten(store, whole[:row] + whole[2 * row : 3 * row] + whole[row : 2 * row] + whole[3 * row :])
    assert_dropped(store)


def test_an_entry_under_another_name(store: Store) -> None:
    put(store, OTHER)
    file_of(store, OTHER).rename(file_of(store))
    assert_dropped(store)


def test_an_entry_of_another_version(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    put(store, KEY)
    monkeypatch.setattr(entry_file, "VERSION", entry_file.VERSION + 1)
    assert_dropped(store)


def test_a_file_of_something_else(store: Store) -> None:
    put(store, OTHER)
    for words in (b"{}", b"preview layers\n\0" + b"\xff" * 200, bytes(5000)):
        rewritten(store, words)
        assert [entry.kind for entry in store.entries() if entry.key == KEY] == [DAMAGED]
        assert_dropped(store)
