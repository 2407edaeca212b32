"""Cached plates: what the store gives is what tracing would, to the bit; and no more is traced than has changed.

The truth is the same plate traced from nothing; what depends on what is that of light: level, gels, colour and how the
camera exposes are factors and curves after the rays.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path
from shutil import copytree

import numpy as np
import pytest

from preview.commands.frame import FrameOptions, frame
from preview.commands.metering.readings import levels, receptors
from preview.commands.prepare import Ready, prepare
from preview.faults import UserError
from preview.trace import tile
from preview.trace.keys import Keys, keys_of
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.rays import Rays
from preview.trace.store import AnyStore, Scratch, Store
from tests.script.scenes import scene

WIDTH, HEIGHT = 64, 36
QUALITY = Quality(0.35, rounds=2, bounce_rays=2, haze_samples=8, haze_step=9)
ROOMY = 10**9
SMALL_TILES = 4096
"""Samples in a tile here, so that a small frame has several."""

SCENE = """
set:
  - ground: {name: yard, material: asphalt, wet: 0.9, size: [60, 60]}
  - house:
      name: house
      at: [0, 6]
      size: [7, 4]
      windows: [{wall: front, from_left: 1.0, size: [1.2, 1.2]}, {wall: front, from_left: 4.6, size: [1.2, 1.2]}]
  - trees: {name: tree, kind: broadleaf, at: [[-4.5, 3]], height: [4, 4], leaves: 0.1, seed: 3}
cast:
  - {name: Ida, at: [0.6, 1.2], facing: 190}
haze: {visibility: 200 m}
camera: {lens: {focal: 28 mm}, at: [0.5, -5, 1.6], aim: [0, 2, 1.3], iso: 800}
fixtures:
  - name: key
    head: led-fresnel-200
    at: [-6, -6, 3.5]
    aim: Ida.chest
    level: 80 %
    through: [{gel: half-cto}, {frame: 4x4 ft, cloth: half-grid}]
  - {name: edge, head: hmi-fresnel-1200, at: [7, -7, 4], aim: [0, 3, 1]}
  - {name: window, practical: {kind: window, luminance: 60, at: "house.window[0]"}}
  - {name: lamp, practical: {kind: bulb, at: [2.4, 2.2, 1.9]}}
  - {name: moon, moon: {azimuth: 120 deg, elevation: 40 deg, lux: 2}}
  - {name: sky, sky: {lux: 0.4}}
marks:
  - {name: Ida.face}
  - {name: floor, at: [0, 0.5, 0.02], facing: up}
"""
NAMES = ("key", "edge", "window", "lamp", "moon", "sky")


@pytest.fixture(autouse=True, scope="module")
def small_tiles() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tile, "TILE_POINTS", SMALL_TILES)
        assert len(tile.tiles(WIDTH, HEIGHT, QUALITY.samples)) >= 4
        yield


def made(folder: Path, *changes: tuple[str, str]) -> Ready:
    """The scene with each of those texts in it changed."""
    text = SCENE
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return prepare(scene(folder, text))


def plate_of(
    ready: Ready,
    store: AnyStore | None = None,
    *,
    threads: int = 2,
    seed: int = 1,
    quality: Quality = QUALITY,
    progress: Callable[[float], None] = lambda share: None,
) -> Plate:
    return trace(
        ready.stage,
        ready.lights,
        ready.view,
        width=WIDTH,
        height=HEIGHT,
        quality=quality,
        haze=ready.haze,
        seed=seed,
        store=store,
        threads=threads,
        progress=progress,
    )


def keys(
    ready: Ready,
    *,
    seed: int = 1,
    quality: Quality = QUALITY,
    width: int = WIDTH,
    height: int = HEIGHT,
) -> Keys:
    return keys_of(
        ready.stage,
        ready.lights,
        ready.view,
        width=width,
        height=height,
        quality=quality,
        haze=ready.haze,
        seed=seed,
    )


def bits(plate: Plate) -> dict[str, bytes]:
    """Every array of a plate by its name, as bytes."""
    held: dict[str, bytes] = {}
    for part in fields(Plate):
        value = getattr(plate, part.name)
        if part.name in ("layers", "errors"):
            held |= {
                f"{part.name} {name}": array.tobytes()
                for name, array in zip(plate.lights, value, strict=True)
            }
        elif part.name != "lights":
            held[part.name] = value.tobytes()
    return held


def kinds(store: AnyStore) -> Counter[str]:
    return Counter(entry.kind for entry in store.entries())


@dataclass
class Count:
    """How often Embree was asked, and for how many rays."""

    calls: int = 0
    rays: int = 0


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Count:
    """Counts every ray from here on."""
    count = Count()
    for name in ("hit", "blocked"):
        real = getattr(Rays, name)

        def counting(self, origins, *rest, real=real):
            count.calls += 1
            count.rays += len(origins)
            return real(self, origins, *rest)

        monkeypatch.setattr(Rays, name, counting)
    return count


def is_built(ready: Ready) -> bool:
    """Whether any of Embree's trees was."""
    return any(
        geometry.rays._tree is not None
        for geometry in (ready.stage.solid, ready.stage.shown, ready.stage.panes)
    )


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Ready:
    return made(tmp_path_factory.mktemp("scene"))


@pytest.fixture(scope="module")
def fresh(ready: Ready) -> Plate:
    """The plate without a store that anything could have been in."""
    plate = plate_of(ready)
    seen = {ready.world.names[part] for part in np.unique(plate.part[plate.part >= 0])}
    assert {"yard", "Ida.top", "tree.leaves"} <= seen
    assert all(layer.max() > 0.0 for layer in plate.layers)
    return plate


@pytest.fixture(scope="module")
def full(ready: Ready, fresh: Plate, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a store with the scene's plate, which the tests copy."""
    folder = tmp_path_factory.mktemp("full") / "kept"
    store = Store(folder, most_bytes=ROOMY)
    assert bits(plate_of(ready, store)) == bits(fresh)
    assert kinds(store) == Counter(layer=6, frame=1, points=len(tile.tiles(WIDTH, HEIGHT, QUALITY.samples)))
    return folder


@pytest.fixture
def filled(full: Path, tmp_path: Path) -> Store:
    """A store with the scene's plate."""
    return Store(Path(copytree(full, tmp_path / "kept")), most_bytes=ROOMY)


def new_kinds(store: Store, before: set[str]) -> Counter[str]:
    return Counter(entry.kind for entry in store.entries() if entry.key not in before)


def held(store: Store) -> set[str]:
    return {entry.key for entry in store.entries()}


@pytest.mark.parametrize("threads", [1, 3])
def test_what_is_found_is_what_no_store_gives(ready, fresh, filled, asked, threads):
    assert bits(plate_of(ready, filled, threads=threads)) == bits(fresh)
    assert asked.calls == 0


def test_in_memory_too(ready, fresh, asked):
    scratch = Scratch()
    assert bits(plate_of(ready, scratch, threads=3)) == bits(fresh)
    assert asked.rays > 10_000
    asked.calls = 0
    assert bits(plate_of(ready, scratch)) == bits(fresh)
    assert asked.calls == 0


@pytest.mark.parametrize("seed", range(3))
def test_any_half_of_the_entries_may_be_lost(ready, fresh, filled, seed):
    """The rest is put together with what is traced anew, by other numbers of threads."""
    every = sorted(held(filled))
    for key in np.random.default_rng(seed).permutation(every)[: len(every) // 2]:
        filled.remove(str(key))
    assert bits(plate_of(ready, filled, threads=1 + 2 * (seed % 2))) == bits(fresh)
    assert set(keys(ready).layers.values()) <= held(filled)


@pytest.mark.parametrize("lost", [{"layer"}, {"frame"}, {"frame", "points"}])
def test_all_of_one_kind_may_be_lost(ready, fresh, filled, lost):
    for entry in filled.entries():
        if entry.kind in lost:
            filled.remove(entry.key)
    assert bits(plate_of(ready, filled)) == bits(fresh)


@pytest.mark.parametrize("names", [("sky", "lamp", "key"), ("edge", "window", "moon")])
def test_lights_may_be_traced_in_any_order_and_company(ready, fresh, tmp_path, names):
    """Some alone first, in another order; then all, of which those are there. Nothing depends on who else shone."""
    store = Store(tmp_path / "kept", most_bytes=ROOMY)
    some = tuple(next(light for light in ready.lights if light.name == name) for name in names)
    part = bits(plate_of(replace(ready, lights=some), store))
    whole = bits(fresh)
    assert part == {name: whole[name] for name in part}
    assert kinds(store)["layer"] == len(names)
    assert bits(plate_of(replace(ready, lights=ready.lights[::-1]), store)) == whole


FACTORS = {
    "level": ("level: 80 %", "level: 35 %"),
    "off": ("level: 80 %", "level: 0 %"),
    "gel": ("{gel: half-cto}", "{gel: full-ctb}"),
    "no gel": ("{gel: half-cto}, ", ""),
    "scrim": ("{gel: half-cto}", "{gel: half-cto}, {scrim: double}"),
    "kelvin": ("kind: bulb, at", "kind: bulb, kelvin: 4300 K, at"),
    "no stand, which would stop no light": ("at: [7, -7, 4]", "stand: no, at: [7, -7, 4]"),
    "kelvin of the sky": ("{lux: 0.4}", "{lux: 0.4, kelvin: 12000}"),
    "ISO": ("iso: 800", "iso: 3200"),
    "stop": ("focal: 28 mm", "focal: 28 mm, stop: 1.4"),
    "shutter": ("iso: 800", "shutter: {angle: 90 deg}"),
    "balance": ("iso: 800", "balance: 3200 K"),
    "tint": ("iso: 800", "tint: 20"),
    "latitude": ("iso: 800", "latitude: {under: 4, over: 3}"),
    "blades": ("focal: 28 mm", "focal: 28 mm, blades: 7"),
    "glare": ("focal: 28 mm", "focal: 28 mm, glare: 3"),
    "vignette": ("focal: 28 mm", "focal: 28 mm, vignette: 1"),
    "focus": ("iso: 800", "focus: Ida.eyes"),
    "a look": ("marks:", "looks: {other: {camera: {iso: 200}}}\nmarks:"),
    "title": ("\nset:", "\ntitle: Another\nset:"),
    "a name in the set": ("name: tree,", "name: ash,"),
}


@pytest.mark.parametrize("change", FACTORS)
def test_what_is_a_factor_traces_nothing(change, tmp_path, fresh, filled, asked):
    """Embree is neither asked nor built, and nothing is added to the store."""
    before = held(filled)
    other = made(tmp_path, FACTORS[change])
    assert bits(plate_of(other, filled)) == bits(fresh)
    assert asked.calls == 0
    assert not is_built(other)
    assert held(filled) == before


def test_a_moved_camera_keeps_the_readings_and_a_relit_frame_traces_nothing(tmp_path, ready, asked):
    """Whole frames: what the meter says at a mark has nothing to do with the camera; a look asks no ray at all."""
    store = Store(tmp_path / "kept", most_bytes=ROOMY)
    options = FrameOptions(width=WIDTH, quality="draft")
    frame(ready.scene, tmp_path / "one", options, store=store)
    first = held(store)
    assert kinds(store)["readings"] == 6
    asked.calls = 0
    relit = made(tmp_path, FACTORS["level"], FACTORS["ISO"])
    frame(relit.scene, tmp_path / "two", options, store=store)
    assert asked.calls == 0
    assert (tmp_path / "two" / "frame.png").read_bytes() != (tmp_path / "one" / "frame.png").read_bytes()
    moved = made(tmp_path, ("at: [0.5, -5, 1.6]", "at: [0.9, -5.5, 1.7]"))
    levels(moved, receptors(moved.scene), rays=64, bounces=1, seed=1, store=store)
    assert asked.calls == 0
    frame(moved.scene, tmp_path / "three", options, store=store)
    assert asked.calls > 0
    # What is built finer near a camera is built for this one too, though here it comes to the same triangles.
    assert new_kinds(store, first) == Counter(layer=6, frame=1, points=1, set=1)


ONE_LAYER = {
    "aim": ("aim: [0, 3, 1]", "aim: [1, 3, 1.5]"),
    "place": ("at: [7, -7, 4]", "at: [6, -8, 4]"),
    "head": ("hmi-fresnel-1200", "hmi-fresnel-2500"),
    "cloth": ("cloth: half-grid", "cloth: light-frost"),
    "cloth's place": ("half-grid}", "half-grid, away: 2}"),
    "moon": ("azimuth: 120 deg", "azimuth: 100 deg"),
    "sky": ("sky: {lux: 0.4}", "sky: {lux: 0.4, horizon: 2}"),
    "name": ("name: edge", "name: kicker"),
    "window": ("luminance: 60", "luminance: 30"),
    "bulb": ("kind: bulb,", "kind: bulb, watts: 40,"),
    "frame": (", {frame: 4x4 ft, cloth: half-grid}", ""),
}
"""Fixtures whose bodies are out of frame, or stay."""


@pytest.mark.parametrize("change", ONE_LAYER)
def test_one_changed_fixture_is_one_layer_traced(change, tmp_path, ready, fresh, filled, asked):
    before = held(filled)
    other = made(tmp_path, ONE_LAYER[change])
    found = bits(plate_of(other, filled))
    rays = asked.rays
    assert new_kinds(filled, before) == Counter(layer=1)
    same = {name for name, value in bits(fresh).items() if found.get(name) == value}
    assert len(same) == 2 * 5 + 4
    if change in ("aim", "cloth", "name"):
        asked.rays = 0
        assert found == bits(plate_of(other))
        assert 0 < rays < 0.4 * asked.rays


def test_one_less_traces_nothing_and_one_more_itself(tmp_path, fresh, filled, asked):
    """Heads that stand out of frame."""
    before = held(filled)
    edge = next(line for line in SCENE.splitlines() if "name: edge" in line)
    struck = bits(plate_of(made(tmp_path, (edge + "\n", "")), filled))
    assert asked.calls == 0
    assert struck == {name: value for name, value in bits(fresh).items() if "edge" not in name}
    more = "  - {name: more, head: led-mat-60cm, at: [4, -7, 2], aim: [0, 3, 1]}\n"
    added = made(tmp_path, ("marks:", more + "marks:"))
    found = bits(plate_of(added, filled))
    assert new_kinds(filled, before) == Counter(layer=1)
    assert {name: found[name] for name in bits(fresh)} == bits(fresh)


def swapped(first: str, second: str) -> tuple[tuple[str, str], ...]:
    """Changes that put two fixtures in each other's place."""
    lines = [
        next(line for line in SCENE.splitlines() if f"name: {name}," in line) for name in (first, second)
    ]
    return (lines[0], "  - FIRST"), (lines[1], lines[0]), ("  - FIRST", lines[1])


def test_another_order_in_the_script(tmp_path, ready, fresh, filled, asked):
    """Where no part that is seen gets another number nothing is traced; else all is, to the same layers by name."""
    other = made(tmp_path, *swapped("moon", "lamp"))
    assert [light.name for light in other.lights] == ["key", "edge", "window", "moon", "lamp", "sky"]
    assert bits(plate_of(other, filled)) == bits(fresh)
    assert asked.calls == 0
    turned = made(tmp_path, *swapped("edge", "lamp"))
    found = plate_of(turned, filled)
    assert {name: value for name, value in bits(found).items() if name != "part"} == {
        name: value for name, value in bits(fresh).items() if name != "part"
    }
    for plate, stage in ((found, turned.stage), (fresh, ready.stage)):
        shown = {stage.shown.world.names[-2 - part] for part in plate.part[plate.part < -1]}
        assert any(name.startswith("window") for name in shown)


SETS = {
    "a wall moved": ("at: [0, 6]", "at: [0, 6.01]"),
    "wetter": ("wet: 0.9", "wet: 0.8"),
    "a material": ("material: asphalt", "material: concrete"),
    "a window without bars": ("from_left: 4.6,", "from_left: 4.6, bars: no,"),
    "a figure turned": ("facing: 190", "facing: 191"),
    "a tree grown anew": ("seed: 3", "seed: 4"),
    "the camera moved": ("at: [0.5, -5, 1.6]", "at: [0.5, -5, 1.601]"),
    "the camera rolled": ("iso: 800", "roll: 0.1 deg"),
    "another lens": ("focal: 28 mm", "focal: 28.1 mm"),
}


@pytest.mark.parametrize("change", SETS)
def test_a_changed_set_or_view_is_traced_anew(change, tmp_path, ready, filled):
    other = made(tmp_path, SETS[change])
    assert not every_key(keys(ready)) & every_key(keys(other))
    if change == "wetter":
        assert bits(plate_of(other, filled)) == bits(plate_of(other))


def every_key(of: Keys) -> set[str]:
    return {of.frame, *of.layers.values(), *(of.tile(number) for number in range(9))}


def test_a_changed_haze_keeps_the_points(tmp_path, filled):
    """Haze is in every layer, and moves nothing."""
    other = made(tmp_path, ("visibility: 200 m", "visibility: 90 m"))
    before = held(filled)
    found = bits(plate_of(other, filled))
    assert new_kinds(filled, before) == Counter(layer=6)
    assert found == bits(plate_of(other))


def test_nothing_traced_otherwise_is_taken_for_this(ready):
    """Other seeds, sizes, and each number of a quality: all apart from each other."""
    variants = [
        keys(ready),
        keys(ready, seed=2),
        keys(ready, width=WIDTH + 1),
        keys(ready, height=HEIGHT + 1),
        keys(ready, width=HEIGHT, height=WIDTH),
    ]
    for part in fields(Quality):
        more = {part.name: getattr(QUALITY, part.name) + 1}
        variants.append(keys(ready, quality=replace(QUALITY, **more)))
    layers = [key for variant in variants for key in variant.layers.values()]
    assert len(set(layers)) == len(variants) * 6
    # The points know neither seed nor anything of a quality but its first samples.
    frames = {variant.frame for variant in variants}
    assert len(frames) == 5
    tiles = {Keys(frame, {}).tile(number) for frame in frames for number in range(50)}
    assert len(tiles | frames | set(layers)) == 50 * 5 + 5 + len(layers)


@pytest.mark.parametrize("kind", ["layer", "frame", "points"])
@pytest.mark.parametrize("where", [0.0, 0.5, 1.0], ids=["first", "middle", "last"])
def test_a_damaged_entry_is_made_again(ready, fresh, filled, kind, where):
    """One bit turned in its file."""
    entry = next(entry for entry in filled.entries() if entry.kind == kind)
    if kind == "points":
        filled.remove(keys(ready).frame)  # else no points are asked for
    path = filled.folder / f"{entry.key}.layers"
    whole = path.read_bytes()
    place = round(where * (len(whole) - 1))
    path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
    assert bits(plate_of(ready, filled)) == bits(fresh)
    again = filled.load(entry.key)
    assert again is not None
    assert path.read_bytes() == whole


def test_a_store_without_room_gives_the_same(ready, fresh, tmp_path):
    """No entry outlives the next one."""
    store = Store(tmp_path / "tiny", most_bytes=1)
    assert bits(plate_of(ready, store)) == bits(fresh)


def test_memory_that_cannot_hold_the_layers_is_said(ready, asked):
    """Before any ray is sent: six layers and the frame are 3 x 4 + 4 bytes a pixel and 16."""
    with pytest.raises(UserError, match="Memory cannot hold the frame"):
        plate_of(ready, Scratch(most_bytes=7 * 16 * WIDTH * HEIGHT - 1))
    assert asked.calls == 0
    plate_of(ready, Scratch(most_bytes=7 * 16 * WIDTH * HEIGHT))
