"""Kept sets: what the store gives is the set as it would be built, to the bit, and never that of another script.

The truth is the same set built from nothing. What a set depends on is changed one thing at a time.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from preview.build import assemble as assembly
from preview.build.mesh import flat
from preview.build.world import World, gather
from preview.commands import kept_set
from preview.commands.kept_set import KIND, MOST, built, set_of
from preview.commands.prepare import prepare
from preview.script.read import read_scene
from preview.script.scene import Scene
from preview.trace.geometry import Geometry
from preview.trace.plate import trace
from preview.trace.quality import Quality
from preview.trace.store import Store
from preview.trace.store_place import NO_BOUND
from tests.script.scenes import scene

ROOMY = 10**9

SCENE = """
set:
  - ground: {name: yard, size: [16, 16], heights: hill.png, relief: [0, 1 m]}
  - house: {name: house, at: [0, 8], size: [6, 4], windows: [{from_left: 1, size: [1.2, 1.2]}]}
  - trees: {name: tree, kind: birch, at: [[-4.5, 3]], height: [3, 3], leaves: 0.1, seed: 3}
  - bicycle: {name: bicycle, at: [2, 1], facing: lamp}
  - mesh: {name: crate, file: crate.obj, at: [-2, 2]}
cast:
  - {name: Ida, at: [0.6, 1.2], facing: 190}
camera: {lens: {focal: 28 mm, stop: 2.8}, at: [0.5, -5, 1.6], aim: [0, 2, 1.3], iso: 800}
fixtures:
  - {name: key, head: led-fresnel-200, at: [-6, -6, 3.5], aim: Ida.chest, level: 80 %, through: [{gel: half-cto}]}
  - {name: lamp, practical: {kind: bulb, at: [2.4, 2.2, 1.9]}}
marks:
  - {name: floor, at: [0, 0.5, 0.02], facing: up}
setups:
  near: {camera: {lens: {focal: 50 mm}, at: [0.5, -3, 1.6]}}
looks:
  low: {fixtures: {key: {level: 20 %}}}
"""
OBJECT = (
    "mtllib crate.mtl\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 0 1\nusemtl side\nf 1 2 3\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
)
MATERIALS = "newmtl side\nKd 0.2 0.2 0.2\n"


def hill(folder: Path, grey: int = 200) -> None:
    heights = np.zeros((8, 8), np.uint8)
    heights[3:5, 3:5] = grey
    Image.fromarray(heights).save(folder / "hill.png")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    hill(tmp_path)
    (tmp_path / "crate.obj").write_text(OBJECT)
    (tmp_path / "crate.mtl").write_text(MATERIALS)
    return tmp_path


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "cache", most_bytes=ROOMY)


@pytest.fixture
def builds(monkeypatch: pytest.MonkeyPatch) -> list[Scene]:
    """The scenes whose sets were built: here a triangle, at once, for each."""
    found: list[Scene] = []
    corners = np.eye(3)

    def counted(scene: Scene) -> World:
        found.append(scene)
        return gather([flat("set.piece", "slate", corners[np.newaxis] * len(found))])

    monkeypatch.setattr(assembly, "assemble", counted)
    return found


def made(folder: Path, *changes: tuple[str, str], setup: str | None = None, look: str | None = None) -> Scene:
    text = SCENE
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return scene(folder, text, setup=setup, look=look)


def same(one: Geometry, other: Geometry) -> None:
    """Two geometries are the same to the bit, whatever they have worked out so far."""
    for name in ("vertices", "normals", "faces", "part_of_face", "tint"):
        here, there = getattr(one.world, name), getattr(other.world, name)
        assert (here is None) == (there is None), name
        if here is not None:
            assert (here.dtype, here.shape) == (there.dtype, there.shape), name
            assert here.tobytes() == there.tobytes(), name
            # As the tracer takes them without a copy.
            assert here.ndim == 1 or here.T.flags.c_contiguous or here.size == 0, name
    for name in ("names", "materials", "wets"):
        assert getattr(one.world, name) == getattr(other.world, name), name
    assert one.content == other.content
    assert Geometry(one.world, one.surfaces).content == other.content
    faces = np.arange(len(one.world.faces), dtype=np.int32)
    assert np.array_equal(one.facets(faces), other.facets(faces))


def test_a_kept_set_is_the_set_that_was_built_to_the_bit(
    folder: Path, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = made(folder)
    first = set_of(script, store)
    assert [entry.kind for entry in store.entries()] == [KIND]
    with monkeypatch.context() as patch:
        patch.setattr(assembly, "assemble", None)
        kept = set_of(script, store)
    anew = built(script)
    assert len(anew[1].world.faces) > 0, "there are panes"
    assert anew[0].world.tint is not None, "something is tinted"
    for one, other, third in zip(first, kept, anew, strict=True):
        same(one, third)
        same(other, third)


def test_a_set_of_nothing_is_kept_as_well(tmp_path: Path, store: Store) -> None:
    script = scene(tmp_path, "camera: {lens: {focal: 35 mm}, at: [0, -5, 1.5], aim: [0, 0, 1.5]}\n")
    for one, other in zip(set_of(script, store), set_of(script, store), strict=True):
        assert len(one.world.faces) == 0
        same(one, other)


def test_a_plate_of_a_kept_set_is_the_same_to_the_bit(folder: Path, store: Store) -> None:
    script = made(folder)
    set_of(script, store)
    quality = Quality(0.5, rounds=1, bounce_rays=2)
    plates = []
    for ready in (prepare(script), prepare(script, store=store)):
        plates.append(trace(ready.stage, ready.lights, ready.view, width=48, height=27, quality=quality))
    for one, other in zip(plates[0].layers, plates[1].layers, strict=True):
        assert one.tobytes() == other.tobytes()
    assert np.array_equal(plates[0].part, plates[1].part)


OTHER_SETS: dict[str, tuple[tuple[str, str], ...]] = {
    "a size": (("size: [6, 4], windows", "size: [6.1, 4], windows"),),
    "a seed": (("seed: 3", "seed: 4"),),
    "a material": (("size: [16, 16], heights", "size: [16, 16], material: gravel, heights"),),
    "wet": (("name: yard, size", "name: yard, wet: 0.5, size"),),
    "a name": (("name: tree, kind", "name: birch, kind"),),
    "an order": (
        ("  - trees: {name: tree, kind: birch, at: [[-4.5, 3]], height: [3, 3], leaves: 0.1, seed: 3}\n", ""),
        (
            "cast:\n",
            "  - trees: {name: tree, kind: birch, at: [[-4.5, 3]], height: [3, 3], leaves: 0.1, seed: 3}\ncast:\n",
        ),
    ),
    "a figure that turns": (("facing: 190", "facing: 200"),),
    "a figure that moves": (("at: [0.6, 1.2]", "at: [0.7, 1.2]"),),
    "another camera": (("at: [0.5, -3, 1.6]", "at: [0.5, -2, 1.6]"),),
    "a lamp that a thing faces": (("at: [2.4, 2.2, 1.9]", "at: [3.4, 2.2, 1.9]"),),
    "the lie of the land": (("relief: [0, 1 m]", "relief: [0, 1.2 m]"),),
}


@pytest.mark.parametrize("what", OTHER_SETS)
def test_what_a_set_depends_on_makes_another(
    folder: Path, store: Store, builds: list[Scene], what: str
) -> None:
    set_of(made(folder), store)
    set_of(made(folder, *OTHER_SETS[what]), store)
    assert len(builds) == 2
    set_of(made(folder), store)
    assert len(builds) == 2, "both are kept"


SAME_SETS: dict[str, tuple[tuple[str, str], ...]] = {
    "a level": (("level: 80 %", "level: 10 %"),),
    "a gel": (("half-cto", "full-cto"),),
    "a stop and ISO": (("stop: 2.8}", "stop: 4}"), ("iso: 800", "iso: 1600")),
    "a lens": (("focal: 28 mm", "focal: 35 mm"),),
    "an aim": (("aim: [0, 2, 1.3]", "aim: [0, 2, 1.5]"),),
    "a head": (("at: [-6, -6, 3.5]", "at: [-5, -6, 3.5]"),),
    "a mark": (("at: [0, 0.5, 0.02]", "at: [0.2, 0.5, 0.02]"),),
    "air": (("cast:\n", "haze: {visibility: 300 m}\ncast:\n"),),
}


@pytest.mark.parametrize("what", SAME_SETS)
def test_what_a_set_does_not_depend_on_builds_nothing(
    folder: Path, store: Store, builds: list[Scene], what: str
) -> None:
    set_of(made(folder), store)
    set_of(made(folder, *SAME_SETS[what]), store)
    assert len(builds) == 1


def test_setups_and_looks_of_the_same_set_share_it(folder: Path, store: Store, builds: list[Scene]) -> None:
    set_of(made(folder), store)
    set_of(made(folder, setup="near"), store)
    set_of(made(folder, look="low"), store)
    assert len(builds) == 1


def heights(folder: Path) -> None:
    hill(folder, 120)


def mesh(folder: Path) -> None:
    (folder / "crate.obj").write_text(OBJECT.replace("v 0 0 1", "v 0 0 2"))


def beside(folder: Path) -> None:
    (folder / "crate.mtl").write_text(MATERIALS.replace("0.2", "0.4"))


def gone(folder: Path) -> None:
    (folder / "crate.mtl").unlink()


@pytest.mark.parametrize("change", [heights, mesh, beside, gone])
def test_another_file_makes_another_set(
    folder: Path, store: Store, builds: list[Scene], change: Callable[[Path], None]
) -> None:
    set_of(made(folder), store)
    set_of(made(folder), store)
    assert len(builds) == 1
    change(folder)
    set_of(made(folder), store)
    assert len(builds) == 2


def test_a_file_that_is_written_while_the_set_is_built_keeps_nothing(
    folder: Path, store: Store, builds: list[Scene], monkeypatch: pytest.MonkeyPatch
) -> None:
    really = assembly.assemble

    def slowly(scene: Scene) -> Any:
        world = really(scene)
        mesh(folder)
        return world

    monkeypatch.setattr(assembly, "assemble", slowly)
    set_of(made(folder), store)
    assert store.entries() == []


def test_another_program_makes_another_set(
    folder: Path, store: Store, builds: list[Scene], monkeypatch: pytest.MonkeyPatch
) -> None:
    set_of(made(folder), store)
    monkeypatch.setattr(kept_set, "program_digest", lambda: "another")
    set_of(made(folder), store)
    assert len(builds) == 2
    monkeypatch.setattr(kept_set, "version", lambda name: "0")
    set_of(made(folder), store)
    assert len(builds) == 3, "the files may be read otherwise"


def test_a_damaged_set_is_built_again(folder: Path, store: Store, builds: list[Scene]) -> None:
    script = made(folder)
    first = set_of(script, store)
    (file,) = store.folder.glob("*.layers")
    content = bytearray(file.read_bytes())
    content[len(content) // 2] ^= 1
    file.write_bytes(content)
    again = set_of(script, store)
    assert len(builds) == 2
    assert not np.array_equal(first[0].world.vertices, again[0].world.vertices), "these are another's"
    assert [entry.kind for entry in store.entries()] == [KIND]
    same(again[0], set_of(script, store)[0])
    assert len(builds) == 2


def test_sets_take_no_more_than_their_share(folder: Path, tmp_path: Path, builds: list[Scene]) -> None:
    measure = Store(tmp_path / "measure", most_bytes=ROOMY)
    set_of(made(folder), measure)
    size = measure.entries()[0].bytes
    small = Store(tmp_path / "small", most_bytes=int(0.3 * size / MOST))
    set_of(made(folder), small)
    assert small.entries() == [], "one that is larger than all may be is not kept"
    some = Store(tmp_path / "some", most_bytes=int(2.5 * size / MOST))
    for seed in range(4):
        set_of(made(folder, ("seed: 3", f"seed: {seed + 10}")), some)
    kept = some.entries()
    assert 1 <= len(kept) <= 2
    assert sum(entry.bytes for entry in kept) <= MOST * some.most_bytes
    used = len(kept)
    set_of(made(folder, ("seed: 3", "seed: 13")), some)
    assert len(some.entries()) == used, "the last is still there"


def test_a_store_that_passes_keeps_no_set(folder: Path, tmp_path: Path, builds: list[Scene]) -> None:
    passing = Store(tmp_path / "passing", most_bytes=NO_BOUND)
    set_of(made(folder), passing)
    assert passing.entries() == []


ASKED = {"path", "set", "cast", "eyes", "terrain", "azimuth", "point", "anchors", "_unlifted"}
"""All that building may ask of a scene; `anchors` only of the places that pieces and figures name."""


@pytest.mark.parametrize("name", ["bus-shelter", "driftwood-fire"])
def test_builders_ask_nothing_of_a_scene_that_is_not_in_the_key(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    script = read_scene(Path(__file__).parents[2] / "scenes" / f"{name}.yaml")
    asked: set[str] = set()

    def watched(self: Scene, attribute: str) -> Any:
        if not attribute.startswith("__"):
            asked.add(attribute)
        return object.__getattribute__(self, attribute)

    with monkeypatch.context() as patch:
        patch.setattr(Scene, "__getattribute__", watched)
        assembly.assemble(script)
    assert {"set", "eyes"} <= asked, "the watch sees"
    assert asked <= ASKED
