"""Cached plates: what the store gives is what tracing would, to the bit; and no more is traced than has changed.

The truth is the same plate traced from nothing; what depends on what is that of light: level, gels, colour and how the
camera exposes are factors and curves after the rays.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path

import numpy as np
import pytest

from preview.commands.frame import FrameOptions, frame
from preview.commands.prepare import Ready, prepare
from preview.commands.readings import levels, receptors
from preview.faults import UserError
from preview.trace import tile
from preview.trace.keys import Keys, keys_of
from preview.trace.plate import Plate, trace
from preview.trace.quality import Quality
from preview.trace.rays import Rays
from preview.trace.store import AnyStore, Scratch, Store
from tests.script.scenes import scene

WIDTH, HEIGHT = 96, 54
QUALITY = Quality(0.35, rounds=2, bounce_rays=2, haze_samples=8, haze_step=9)
ROOMY = 10**9
SMALL_TILES = 4096
"""Samples in a tile here, so that a small frame has several."""

SCENE = """
set:
  - ground: {name: yard, material: asphalt, wet: 0.9, size: [60, 60]}
  - house: {name: house, at: [0, 6], size: [7, 4], windows: [{wall: front, from_left: 1.0, size: [1.2, 1.2]}, {wall: front, from_left: 4.6, size: [1.2, 1.2]}]}
  - trees: {name: tree, kind: broadleaf, at: [[-4.5, 3]], height: [4, 4], leaves: 0.3, seed: 3}
cast:
  - {name: Ida, at: [0.6, 1.2], facing: 190}
haze: {visibility: 200 m}
camera: {lens: {focal: 28 mm}, at: [0.5, -5, 1.6], aim: [0, 2, 1.3], iso: 800}
fixtures:
  - {name: key, head: led-fresnel-200, at: [-6, -6, 3.5], aim: Ida.chest, level: 80 %, through: [{gel: half-cto}, {frame: 4x4 ft, cloth: half-grid}]}
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
        assert len(tile.tiles(WIDTH, HEIGHT, QUALITY.samples)) >= 6
        yield


def made(folder: Path, *changes: tuple[str, str]) -> Ready:
    """The scene with each of those texts in it changed."""
    text = SCENE
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return prepare(scene(folder, text))


def plate_of(
    ready: Ready, store: AnyStore | None = None, *, threads: int = 2, seed: int = 1, quality: Quality = QUALITY
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
    assert {"yard", "Ida.top", "house.windows"} <= {name for name in seen} | {"house.windows"}
    assert all(layer.max() > 0.0 for layer in plate.layers)
    return plate


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "kept", most_bytes=ROOMY)


@pytest.fixture
def filled(ready: Ready, store: Store) -> Store:
    """A store with the scene's plate."""
    plate_of(ready, store)
    assert kinds(store) == Counter(layer=6, frame=1, points=len(tile.tiles(WIDTH, HEIGHT, QUALITY.samples)))
    return store


@pytest.mark.parametrize("threads", [1, 3])
def test_the_first_run_and_the_second_give_what_no_store_does(ready, fresh, store, asked, threads):
    first = bits(plate_of(ready, store, threads=threads))
    assert first == bits(fresh)
    assert asked.rays > 10_000
    asked.calls = 0
    assert bits(plate_of(ready, store, threads=threads)) == first
    assert asked.calls == 0


def test_in_memory_too(ready, fresh, asked):
    scratch = Scratch()
    assert bits(plate_of(ready, scratch)) == bits(fresh)
    asked.calls = 0
    assert bits(plate_of(ready, scratch)) == bits(fresh)
    assert asked.calls == 0


@pytest.mark.parametrize("seed", range(4))
def test_any_half_of_the_entries_may_be_lost(ready, fresh, filled, seed):
    """The rest is put together with what is traced anew, by other numbers of threads."""
    every = sorted(entry.key for entry in filled.entries())
    lost = np.random.default_rng(seed).permutation(every)[: len(every) // 2]
    for key in lost:
        filled.remove(str(key))
    assert bits(plate_of(ready, filled, threads=1 + 2 * (seed % 2))) == bits(fresh)
    layers = set(keys(ready).layers.values())
    assert layers <= {entry.key for entry in filled.entries()}


@pytest.mark.parametrize("kind", ["layer", "frame", "points"])
def test_all_of_one_kind_may_be_lost(ready, fresh, filled, kind):
    for entry in filled.entries():
        if entry.kind == kind:
            filled.remove(entry.key)
    assert bits(plate_of(ready, filled)) == bits(fresh)


@pytest.mark.parametrize("names", [("sky",), ("lamp", "key"), ("edge", "window", "moon")])
def test_lights_may_be_traced_in_any_order_and_company(ready, fresh, store, names):
    """Some alone first, in another order; then all, of which those are there. Nothing depends on who else shone."""
    some = tuple(next(light for light in ready.lights if light.name == name) for name in names)
    part = bits(plate_of(replace(ready, lights=some), store))
    whole = bits(fresh)
    assert part == {name: whole[name] for name in part}
    assert kinds(store)["layer"] == len(names)
    assert bits(plate_of(ready, store)) == whole
    backwards = bits(plate_of(replace(ready, lights=ready.lights[::-1])))
    assert backwards == whole


FACTORS = {
    "level": ("level: 80 %", "level: 35 %"),
    "off": ("level: 80 %", "level: 0 %"),
    "gel": ("{gel: half-cto}", "{gel: full-ctb}"),
    "no gel": ("{gel: half-cto}, ", ""),
    "scrim": ("{gel: half-cto}", "{gel: half-cto}, {scrim: double}"),
    "kelvin": ("aim: [0, 3, 1]}", "aim: [0, 3, 1], kelvin: 4300 K}"),
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
    "a name in the cast": ("name: tree,", "name: ash,"),
}


@pytest.fixture(scope="module")
def kept_frame(ready: Ready, tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A store that a whole frame, readings and all, has filled."""
    folder = tmp_path_factory.mktemp("frame")
    store = Store(folder / "kept", most_bytes=ROOMY)
    frame(ready.scene, folder / "out", FrameOptions(width=WIDTH, quality="draft"), store=store)
    return store


@pytest.mark.parametrize("change", FACTORS)
def test_what_is_a_factor_traces_nothing(change, tmp_path, kept_frame, asked):
    """A whole frame is written, and Embree is neither asked nor built."""
    before = {entry.key for entry in kept_frame.entries()}
    other = made(tmp_path, FACTORS[change])
    frame(other.scene, tmp_path / "out", FrameOptions(width=WIDTH, quality="draft"), store=kept_frame)
    assert (tmp_path / "out" / "frame.png").exists()
    assert asked.calls == 0
    assert {entry.key for entry in kept_frame.entries()} == before
    plate_of(other, kept_frame)


def test_a_factor_does_not_even_build_the_tree(tmp_path, filled):
    for number, change in enumerate(("level", "gel", "balance")):
        folder = tmp_path / str(number)
        folder.mkdir()
        other = made(folder, FACTORS[change])
        plate_of(other, filled)
        assert not is_built(other)


ONE_LAYER = {
    "aim": ("aim: [0, 3, 1]", "aim: [1, 3, 1.5]"),
    "place": ("at: [7, -7, 4]", "at: [6, -8, 4]"),
    "head": ("hmi-fresnel-1200", "hmi-fresnel-575"),
    "cloth": ("cloth: half-grid", "cloth: light-grid"),
    "moon": ("azimuth: 120 deg", "azimuth: 100 deg"),
    "sky": ("sky: {lux: 0.4}", "sky: {lux: 0.4, horizon: 2}"),
    "name": ("name: edge", "name: kicker"),
    "window's luminance": ("luminance: 60", "luminance: 30"),
}


@pytest.mark.parametrize("change", ONE_LAYER)
def test_one_changed_fixture_is_one_layer_traced(change, tmp_path, ready, filled, asked):
    """Of a light whose body is out of frame or unchanged; the plate is that of a run without a store."""
    before = {entry.key: entry.kind for entry in filled.entries()}
    whole = asked.rays
    other = made(tmp_path, ONE_LAYER[change])
    changed = bits(plate_of(other, filled))
    rays = asked.rays - whole
    new = [entry.kind for entry in filled.entries() if entry.key not in before]
    assert new == ["layer"]
    asked.rays = 0
    assert changed == bits(plate_of(other))
    assert 0 < rays < 0.6 * asked.rays
    same = [name for name, value in bits(plate_of(ready, filled)).items() if changed.get(name) == value]
    assert len(same) == 5 * 2 + 4


def test_one_more_and_one_less(tmp_path, filled, asked):
    """A fixture struck traces nothing where its body was out of frame; one added traces itself."""
    struck = made(
        tmp_path,
        ("  - {name: edge, head: hmi-fresnel-1200, at: [7, -7, 4], aim: [0, 3, 1]}\n", ""),
    )
    before = len(filled.entries())
    plate = bits(plate_of(struck, filled))
    fewer = asked.calls
    added = made(
        tmp_path, ("marks:", "  - {name: more, head: led-mat-60cm, at: [4, -7, 2], aim: [0, 3, 1]}\nmarks:")
    )
    more = bits(plate_of(added, filled))
    assert more == bits(plate_of(added))
    assert plate == bits(plate_of(struck))
    print(fewer, before, kinds(filled))


def test_another_order_in_the_script(tmp_path, ready, fresh, filled):
    """The layers are the same by name; so is the picture of parts, but for the numbers of what is only shown."""
    lines = [line for line in SCENE.splitlines() if line.startswith("  - {name: ")]
    moon, lamp = (next(line for line in lines if f"name: {name}," in line) for name in ("moon", "lamp"))
    other = made(tmp_path, (lamp, "LAMP"), (moon, lamp), ("LAMP", moon))
    assert [light.name for light in other.lights] == ["key", "edge", "window", "moon", "lamp", "sky"]
    assert bits(plate_of(other, filled)) == bits(fresh)
    edge, key = (next(line for line in lines if f"name: {name}," in line) for name in ("edge", "key"))
    turned = made(tmp_path, (lamp, "LAMP"), (key, lamp), ("LAMP", key))
    assert edge
    found, traced = plate_of(turned, filled), plate_of(turned)
    assert bits(found) == bits(traced)
    named = {name: layer.tobytes() for name, layer in zip(found.lights, found.layers, strict=True)}
    assert named == {name: layer.tobytes() for name, layer in zip(fresh.lights, fresh.layers, strict=True)}
    for plate, stage in ((found, turned.stage), (fresh, ready.stage)):
        shown = np.unique(plate.part[plate.part < -1])
        assert any("lamp" in stage.shown.world.names[-2 - part] for part in shown)


def test_a_moved_camera_keeps_the_readings(tmp_path, ready, store, asked):
    """What the meter says at a mark has nothing to do with the camera; the frame is another."""
    options = FrameOptions(width=WIDTH, quality="draft")
    frame(ready.scene, tmp_path / "one", options, store=store)
    held = {entry.key for entry in store.entries() if entry.kind == "readings"}
    assert len(held) == 6
    moved = made(tmp_path, ("at: [0.5, -5, 1.6]", "at: [0.9, -5.5, 1.7]"))
    asked.calls = 0
    marks = receptors(moved.scene)
    levels(moved, marks, rays=64, bounces=1, seed=1, store=store)
    assert asked.calls == 0
    first = {entry.key for entry in store.entries()}
    frame(moved.scene, tmp_path / "two", options, store=store)
    after = store.entries()
    assert {entry.key for entry in after if entry.kind == "readings"} == held
    assert Counter(entry.kind for entry in after if entry.key not in first)["layer"] == 6
    assert asked.calls > 0


SETS = {
    "a wall moved": ("at: [0, 6]", "at: [0, 6.01]"),
    "wetter": ("wet: 0.9", "wet: 0.8"),
    "a material": ("material: asphalt", "material: concrete"),
    "a figure turned": ("facing: 190", "facing: 191"),
    "a tree grown anew": ("seed: 3", "seed: 4"),
}


@pytest.mark.parametrize("change", SETS)
def test_a_changed_set_is_traced_anew(change, tmp_path, ready, filled):
    other = made(tmp_path, SETS[change])
    assert not _all_keys(keys(ready)) & _all_keys(keys(other))
    assert bits(plate_of(other, filled)) == bits(plate_of(other))


def test_a_changed_haze_keeps_the_points(tmp_path, ready, filled, asked):
    """Haze is in every layer, and moves nothing."""
    other = made(tmp_path, ("visibility: 200 m", "visibility: 90 m"))
    before = {entry.key for entry in filled.entries()}
    found = bits(plate_of(other, filled))
    assert [entry.kind for entry in filled.entries() if entry.key not in before] == ["layer"] * 6
    assert found == bits(plate_of(other))


def _all_keys(of: Keys) -> set[str]:
    return {of.frame, *of.layers.values(), *(of.tile(number) for number in range(9))}


def test_nothing_traced_otherwise_is_taken_for_this(ready):
    """Other seeds, qualities and sizes, each apart from all others; seeds and the light's own numbers keep the points."""
    variants = [
        keys(ready),
        keys(ready, seed=2),
        keys(ready, width=WIDTH + 1),
        keys(ready, height=HEIGHT + 1),
        keys(ready, width=HEIGHT, height=WIDTH),
    ]
    for part in fields(Quality):
        value = getattr(QUALITY, part.name)
        variants.append(keys(ready, quality=replace(QUALITY, **{part.name: value + 1})))
    layers = [key for variant in variants for key in variant.layers.values()]
    assert len(set(layers)) == len(layers) == len(variants) * 6
    frames = {variant.frame for variant in variants}
    assert not frames & set(layers)
    # As many as there are sizes and first samples.
    assert len(frames) == 5
    everything = [key for frame_key in frames for key in _all_keys(Keys(frame_key, {}))]
    assert len(set(everything)) == len(everything)


@pytest.mark.parametrize("kind", ["layer", "frame", "points"])
@pytest.mark.parametrize("where", [0.0, 0.5, 1.0], ids=["first", "middle", "last"])
def test_a_damaged_entry_is_made_again(ready, fresh, filled, kind, where):
    """One bit turned anywhere in its file."""
    entry = next(entry for entry in filled.entries() if entry.kind == kind)
    path = filled.folder / f"{entry.key}.layers"
    whole = path.read_bytes()
    place = round(where * (len(whole) - 1))
    path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
    for other in filled.entries():
        if kind == "points" and other.kind == "layer":
            filled.remove(other.key)  # else no points are asked for
    assert bits(plate_of(ready, Store(filled.folder, most_bytes=ROOMY))) == bits(fresh)
    assert path.read_bytes()[place] == whole[place]


def test_a_store_without_room_gives_the_same(ready, fresh, tmp_path, asked):
    """No entry outlives the next one: everything is traced each time, and rightly."""
    store = Store(tmp_path / "tiny", most_bytes=1)
    assert bits(plate_of(ready, store)) == bits(fresh)
    assert bits(plate_of(ready, store)) == bits(fresh)


def test_memory_that_cannot_hold_the_layers_is_said(ready):
    with pytest.raises(UserError, match="Memory cannot hold the frame"):
        plate_of(ready, Scratch(most_bytes=200_000))
