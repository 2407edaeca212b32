"""The store gives back the bits that were put into it, and removes what was used longest ago."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays, scalar_dtypes
from numpy.typing import NDArray

from preview.trace.store import AnyStore, Scratch, Store
from tests.trace.store_worker import same
from tests.trace.storing import KEY, MEGABYTE, ONE, OTHER, THIRD, aged, put


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "layers", most_bytes=10**9)


def begun_and_stopped(store: AnyStore, error: BaseException) -> None:
    with store.making(KEY, {"layer": ((5,), np.float32)}, kind="layer", label="") as places:
        places["layer"][0] = 1.0
        raise error


@given(
    held=st.dictionaries(
        st.text(max_size=5),
        arrays(scalar_dtypes(), array_shapes(min_dims=0, min_side=0, max_side=4)),
        max_size=3,
    ),
    label=st.text(max_size=40),
)
def test_bits_come_back_as_they_were(
    tmp_path_factory: pytest.TempPathFactory, held: dict[str, NDArray[Any]], label: str
) -> None:
    folder = tmp_path_factory.getbasetemp() / "round trip"
    Store(folder, most_bytes=10**9).put(KEY, held, kind="layer", label=label)
    again = Store(folder, most_bytes=10**9)
    found = again.load(KEY)
    assert found is not None
    assert same(found, held)
    assert not any(array.flags.writeable for array in found.values())
    assert [(entry.key, entry.kind, entry.label) for entry in again.entries()] == [(KEY, "layer", label)]


@pytest.mark.parametrize("scratch", [False, True])
def test_making_gives_zeros_to_fill_and_keeps_them(tmp_path: Path, scratch: bool) -> None:
    store: AnyStore = Scratch() if scratch else Store(tmp_path, most_bytes=10**9)
    wanted = {"layer": ((3, 2), np.float32), "part": ((4,), np.int32)}
    assert store.load(KEY) is None
    with store.making(KEY, wanted, kind="layer", label="gate main: moon") as places:
        assert {name: (array.shape, array.dtype) for name, array in places.items()} == wanted
        assert not any(array.any() for array in places.values())
        places["layer"][1] = [1.5, -2.5]
        assert store.load(KEY) is None
    # What was filled stays readable, and can no longer be changed.
    assert places["layer"].tolist() == [[0, 0], [1.5, -2.5], [0, 0]]
    with pytest.raises(ValueError, match="read-only"):
        places["part"][0] = 1
    found = store.load(KEY)
    assert found is not None
    assert same(found, places)
    with pytest.raises(ValueError, match="read-only"):
        found["part"][0] = 1
    assert store.warning is None


@pytest.mark.parametrize("scratch", [False, True])
def test_the_same_key_again_replaces_and_removal_removes(tmp_path: Path, scratch: bool) -> None:
    store: AnyStore = Scratch() if scratch else Store(tmp_path, most_bytes=10**9)
    put(store, KEY)
    held = store.load(KEY)
    put(store, KEY, MEGABYTE)
    found = store.load(KEY)
    assert found is not None
    assert same(found, MEGABYTE)
    assert [entry.key for entry in store.entries()] == [KEY]
    put(store, OTHER)
    store.remove(KEY)
    store.remove(THIRD)
    assert store.load(KEY) is None
    assert [entry.key for entry in store.entries()] == [OTHER]
    # Arrays that are open outlive their entry.
    assert held is not None
    assert same(held, ONE)
    assert same(found, MEGABYTE)
    size = store.entries()[0].bytes
    assert size >= sum(array.nbytes for array in ONE.values())
    assert store.clear() == size
    assert store.entries() == []
    assert store.clear() == 0


@pytest.mark.parametrize("scratch", [False, True])
@pytest.mark.parametrize("error", [ZeroDivisionError(), KeyboardInterrupt()])
def test_what_was_not_finished_is_not_kept(tmp_path: Path, scratch: bool, error: BaseException) -> None:
    store: AnyStore = Scratch() if scratch else Store(tmp_path, most_bytes=10**9)
    with pytest.raises(type(error)):
        begun_and_stopped(store, error)
    assert store.load(KEY) is None
    assert store.entries() == []
    assert list(tmp_path.iterdir()) == []


def test_an_unfinished_remake_keeps_the_old(store: Store) -> None:
    put(store, KEY)
    with pytest.raises(ZeroDivisionError):
        begun_and_stopped(store, ZeroDivisionError())
    found = store.load(KEY)
    assert found is not None
    assert same(found, ONE)


@pytest.mark.parametrize("kind", [np.dtype(object), np.dtype([("a", np.int32)])])
def test_what_has_no_plain_bytes_is_refused(store: Store, kind: np.dtype[Any]) -> None:
    with (
        pytest.raises(TypeError, match="part: an array of"),
        store.making(KEY, {"part": ((2,), kind)}, kind="layer", label=""),
    ):
        pass


@pytest.mark.parametrize("key", ["", "../" + KEY, KEY.upper(), KEY + "/"])
def test_only_a_digest_is_a_key(store: Store, key: str) -> None:
    with pytest.raises(ValueError, match="is no digest"):
        store.load(key)
    with pytest.raises(ValueError, match="is no digest"):
        put(store, key)


def test_what_was_used_longest_ago_goes_first(tmp_path: Path) -> None:
    keys = [f"{number:032x}" for number in range(6)]
    store = Store(tmp_path, most_bytes=4_100_000)
    for age, key in enumerate(keys[:4]):
        put(store, key, MEGABYTE)
        aged(store, key, 1000.0 - age)
    fresh = Store(tmp_path, most_bytes=4_100_000)
    assert fresh.load(keys[0]) is not None  # used now; its arrays are let go at once
    put(fresh, keys[4], MEGABYTE)
    assert {entry.key for entry in fresh.entries()} == {keys[0], keys[2], keys[3], keys[4]}
    put(fresh, keys[5], MEGABYTE)
    assert {entry.key for entry in fresh.entries()} == {keys[0], keys[3], keys[4], keys[5]}
    assert [entry.key for entry in fresh.entries()][-1] == keys[3]


def test_what_is_open_here_is_kept(tmp_path: Path) -> None:
    store = Store(tmp_path, most_bytes=2_100_000)
    put(store, KEY, MEGABYTE)
    held = store.load(KEY)
    assert held is not None
    aged(store, KEY, 1000.0)
    put(store, OTHER, MEGABYTE)
    aged(store, OTHER, 500.0)
    put(store, THIRD, MEGABYTE)
    assert {entry.key for entry in store.entries()} == {KEY, THIRD}
    del held
    put(store, OTHER, MEGABYTE)
    assert {entry.key for entry in store.entries()} == {OTHER, THIRD}


def test_an_entry_larger_than_the_bound_is_kept_until_the_next(tmp_path: Path) -> None:
    store = Store(tmp_path, most_bytes=500_000)
    put(store, OTHER)
    put(store, KEY, MEGABYTE)
    assert [entry.key for entry in store.entries()] == [KEY]
    put(store, OTHER)
    assert [entry.key for entry in store.entries()] == [OTHER]
