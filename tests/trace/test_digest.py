"""The digest is the same for the same content in every process, and another for anything else."""

from __future__ import annotations

import enum
import math
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, make_dataclass
from functools import cached_property, partial
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays, scalar_dtypes
from numpy.typing import NDArray

from preview.light import beam
from preview.light.emitters.patch import Patch, lambertian
from preview.light.heads import row_output
from preview.trace import digest as digests
from preview.trace.digest import digest, files_digest, program_digest
from preview.trade.catalogue import usual

ROOT = Path(__file__).parents[2]


class Pose(enum.Enum):
    STAND = 1
    SIT = 2


class Rank(enum.IntEnum):
    STAND = 1


@dataclass(frozen=True)
class Lamp:
    candela: float
    at: tuple[float, ...]
    rows: NDArray[np.float32] = field(default_factory=lambda: np.ones(3, np.float32))

    @cached_property
    def flux(self) -> float:
        return 4 * math.pi * self.candela


@dataclass(frozen=True)
class Bulb:
    candela: float
    at: tuple[float, ...]
    rows: NDArray[np.float32] = field(default_factory=lambda: np.ones(3, np.float32))


@dataclass
class Loose:
    candela: float


class Pair(NamedTuple):
    a: int
    b: int


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=4) | st.binary(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.lists(inner, max_size=3).map(tuple)
        | st.dictionaries(st.text(max_size=2), inner, max_size=3)
    ),
    max_leaves=6,
)


def told(thing: Any) -> str:
    """A value as text that shows its types and every bit, written apart from the digest."""
    if isinstance(thing, float):
        return f"float {'nan' if math.isnan(thing) else thing.hex()}"
    if isinstance(thing, list | tuple):
        return f"{type(thing).__name__} [{', '.join(map(told, thing))}]"
    if isinstance(thing, dict):
        return f"dict {[(key, told(value)) for key, value in thing.items()]}"
    return f"{type(thing).__name__} {thing!r}"


@given(PLAIN, PLAIN)
def test_equal_when_and_only_when_the_content_is(one: Any, other: Any) -> None:
    assert (digest(one) == digest(other)) == (told(one) == told(other))
    assert digest(one) == digest(one)
    assert digest(one, other) != digest((one, other))


def test_none_of_these_is_another() -> None:
    things: list[object] = [
        None, False, True, 0, 1, -1, 256, 0.0, -0.0, 1.0, math.inf, math.nan, "", "1", "None", b"", b"1",
        (), [], {}, set(), (1,), [1], {1}, {"1": 1}, {1: "1"}, ((1,),), (1, ()), ((), 1), ("ab", "c"), ("a", "bc"),
        {"a": 1, "b": 2}, {"b": 2, "a": 1}, Pair(1, 2), (1, 2), Pose.STAND, Pose.SIT, Rank.STAND, Path("a"), "a",
        np.float32(1), np.float64(1), np.int64(1), np.bool_(True), np.ones(1), np.ones(1, np.float32), np.ones((1, 1)),
        np.zeros((0, 3)), np.zeros((3, 0)), np.ones(1, ">f8"), np.array("1"), np.array([b"1"]), np.array(1.0),
        np.zeros(1, "M8[s]"), np.zeros(1, "M8[D]"), np.zeros(1, [("a", "f4")]), np.zeros(1, [("b", "f4")]),
        Lamp(1.0, (0.0,)), Bulb(1.0, (0.0,)), Lamp(2.0, (0.0,)), Lamp(1.0, [0.0]), Lamp(1, (0.0,)), Lamp, Bulb,
        math.sin, math.cos, np.sin, np.cos, lambertian, beam.relative_intensity, partial(lambertian),
        partial(beam.relative_intensity, beam=1.0), partial(beam.relative_intensity, field=1.0),
    ]  # fmt: skip
    assert len({digest(thing) for thing in things}) == len(things)


@given(arrays(scalar_dtypes(), array_shapes(min_dims=0, min_side=1, max_side=4)), st.data())
def test_any_bit_of_an_array_counts(array: NDArray[Any], data: st.DataObject) -> None:
    before = digest(array)
    assert digest(array.copy()) == before
    other = bytearray(array.tobytes())
    place = data.draw(st.integers(0, len(other) - 1))
    other[place] ^= 1 << data.draw(st.integers(0, 7))
    changed = np.frombuffer(other, array.dtype).reshape(array.shape)
    assert digest(changed) != before
    assert digest(array.reshape(*array.shape, 1)) != before
    assert digest(array[np.newaxis]) != before
    assert digest(array.tobytes()) != before


def test_the_layout_in_memory_does_not_count(tmp_path: Path) -> None:
    array = np.arange(24.0).reshape(4, 6)
    assert digest(np.asfortranarray(array)) == digest(array)
    assert digest(np.repeat(array, 2, axis=1)[:, ::2]) == digest(array)
    mapped: NDArray[np.float64] = np.memmap(tmp_path / "array", np.float64, "w+", shape=(4, 6))
    mapped[...] = array
    assert digest(mapped) == digest(array)


def test_fields_count_and_what_is_cached_does_not() -> None:
    lamp = Lamp(2.0, (1.0, 2.0))
    before = digest(lamp)
    assert lamp.flux > 0.0
    assert digest(lamp) == before == digest(Lamp(2.0, (1.0, 2.0)))
    for other in (
        Lamp(2.0, (2.0, 1.0)),
        Lamp(np.nextafter(2.0, 3.0).item(), (1.0, 2.0)),
        Lamp(2.0, (1.0, 2.0), np.ones(3, np.float64)),  # type: ignore[arg-type]
        Lamp(2.0, (1.0, 2.0), np.ones(2, np.float32)),
    ):
        assert digest(other) != before
    for names in (["at", "candela", "rows"], ["candela", "place", "rows"]):
        alike = make_dataclass("Lamp", names, frozen=True, namespace={"__module__": __name__})
        values = {"candela": 2.0, "rows": lamp.rows}
        assert digest(alike(**{name: values.get(name, (1.0, 2.0)) for name in names})) != before


def test_no_text_runs_into_the_next() -> None:
    assert digest("astr:b", "c") != digest("a", "bstr:c")
    assert digest("astr:1:b", "c") != digest("a", "bstr:1:c")
    assert digest(b"abytes:b", b"c") != digest(b"a", b"bbytes:c")


def test_mappings_are_alike_and_sets_have_no_order() -> None:
    assert digest(MappingProxyType({"a": 1})) == digest({"a": 1})
    assert digest({"one", "two", "three"}) == digest({"three", "two", "one"})
    assert digest(Path("a") / "b") == digest(PurePosixPath("a/b"))


def closure(factor: float, *, more: Callable[[float], float] = math.sin) -> Callable[[float], float]:
    return lambda x: factor * more(x)


def test_a_closure_is_its_code_and_what_it_closes_over() -> None:
    assert digest(closure(2.0)) == digest(closure(2.0))
    assert digest(closure(2.0)) != digest(closure(3.0))
    assert digest(closure(2.0)) != digest(closure(2.0, more=math.cos))
    twice, thrice = (lambda x: 2.0 * x), (lambda x: 3.0 * x)
    assert digest(twice) != digest(thrice)
    added, taken = (lambda x, y: x + y), (lambda x, y: x - y)
    assert digest(added) != digest(taken)
    nested, other = (lambda: lambda x: x + 1), (lambda: lambda x: x + 2)
    assert digest(nested) != digest(other)
    first, second = (lambda x, y=1: x + y), (lambda x, y=2: x + y)
    assert digest(first) != digest(second)


def test_a_lamps_front_is_told_apart_by_its_beam() -> None:
    def front(head: str) -> Patch:
        output = row_output(usual().heads[head])
        at, axis = np.zeros(3), np.array([0.0, 1.0, 0.0])
        return Patch(at, axis, (0.1, 0.1), 1.0, round=True, profile=output.profile)

    spot, flood = front("tungsten-fresnel-650"), front("hmi-fresnel-2500")
    assert digest(spot) == digest(front("tungsten-fresnel-650"))
    assert digest(spot) != digest(flood)


class Box:
    pass


@pytest.mark.parametrize(
    ("thing", "met"),
    [
        (Box(), "Box"),
        (Loose(1.0), "Loose, which may change"),
        (np.array([None]), "an array of objects"),
        (np.ma.masked_array([1.0]), "MaskedArray"),
        (1j, "complex"),
        (iter([]), "list_iterator"),
        ([].append, "the built-in method list.append"),
    ],
)
def test_what_cannot_be_told_is_refused(thing: object, met: str) -> None:
    with pytest.raises(TypeError, match=f"No digest of .*{met}"):
        digest(thing)
    # Wherever it hides, and it is said where.
    lamp = Lamp(1.0, ({"a": thing},))  # type: ignore[arg-type]
    for hidden in ([lamp], closure(lamp)):  # type: ignore[arg-type]
        with pytest.raises(TypeError, match=r"No digest of .*met at .*\.at\[0\]\[1\]"):
            digest(hidden)
    with pytest.raises(TypeError):
        digest(partial(lambertian, thing))


SCRIPT = """\
import numpy as np
from functools import partial
from preview.light.beam import relative_intensity
from preview.trace.digest import digest
inside = lambda x: x in {"moon", "sky", "porch", 3}
print(digest({"a", "b", "c", 4, None}, {"x": 1.5}, np.arange(5), partial(relative_intensity, beam=1.0), inside))
"""


def test_the_same_in_every_process() -> None:
    # Sets and dictionaries of text are ordered by a hash that differs from process to process.
    answers = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(answers) == 1
    assert len(answers.pop()) == 33


def test_a_digest_is_one_that_the_store_takes() -> None:
    assert len(digest()) == len(program_digest()) == 32
    assert set(digest(1)) <= set("0123456789abcdef")


def test_the_program_is_its_files(tmp_path: Path) -> None:
    first, second = tmp_path / "a.py", tmp_path / "b.yaml"
    first.write_bytes(b"one")
    second.write_bytes(b"two")
    root, one, other = str(tmp_path), str(first), str(second)
    before = files_digest(root, [one, other], "1.0")
    assert files_digest(root, [one, other], "1.0") == before
    assert files_digest(root, [one, other], "1.1") != before
    assert files_digest(root, [one], "1.0") != before
    second.write_bytes(b"twO")
    assert files_digest(root, [one, other], "1.0") != before
    third = second.rename(tmp_path / "c.yaml")
    third.write_bytes(b"two")
    assert files_digest(root, [one, str(third)], "1.0") != before


@pytest.mark.parametrize(
    "file", ["trace/plate.py", "build/cast/bodies.npz", "trade/heads.yaml", "light/planck-locus.csv"]
)
def test_the_program_covers_code_and_data(file: str, monkeypatch: pytest.MonkeyPatch) -> None:
    read = digests._content

    def other(path: str) -> bytes:
        return read(path) + (b"#" if path == str(ROOT / "preview" / file) else b"")

    before = program_digest()
    monkeypatch.setattr(digests, "_content", other)
    program_digest.cache_clear()
    try:
        assert program_digest() != before
    finally:
        program_digest.cache_clear()
