"""Room: what a frame takes, against what it was measured to take; what is refused; and that it stays within bounds.

Peaks were measured here, on 2 cores, as the greatest RssAnon of /proc/PID/status, asked every 5 ms while frames were made
of scenes/orchard-gate.yaml (the first) and of generated woods (broadleaf, pear and conifer trees, one figure, a wet street;
heads, bulbs, tubes, moon and sky in turn). Those of five million triangles that are traced larger than 960 pixels were
traced in one tile of 20 to 100 alone, for time, and the rest filled in: no memory grows with the number of tiles.
"""

from __future__ import annotations

import mmap
import re
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preview.commands.check import check
from preview.commands.frame import FrameOptions, frame
from preview.commands.prepare import Ready, prepare
from preview.faults import UserError
from preview.trace import machine, room, store
from preview.trace.machine import memory_to_spare
from preview.trace.quality import QUALITIES, Quality
from preview.trace.room import Counts, Engine, counts_of, groups_of, make_room, need_of
from preview.trace.store import Scratch, Store, set_aside
from tests.script.scenes import scene
from tests.trace.storing import KEY, parts
from tests.trace.test_cached_plates import HEIGHT, NAMES, WIDTH, bits, made, plate_of

GB = 1e9
WOOD = {"triangles": 5_000_000, "vertices": 9_700_000}
SMALL_WOOD = {"triangles": 235_200, "vertices": 418_867}
RASTER = Quality(samples=4, rounds=1)


@pytest.mark.parametrize(
    ("counts", "quality", "haze", "engine", "measured"),
    [
        (
            Counts(265_610, 425_505, lights=8, missing=8, width=960, height=519),
            QUALITIES["look"],
            False,
            "traced",
            0.25,
        ),
        (
            Counts(**SMALL_WOOD, lights=8, missing=8, width=576, height=324),
            QUALITIES["draft"],
            False,
            "traced",
            0.25,
        ),
        (
            Counts(**SMALL_WOOD, lights=8, missing=8, width=1920, height=1080),
            QUALITIES["look"],
            False,
            "traced",
            0.53,
        ),
        (
            Counts(**WOOD, lights=64, missing=64, width=2304, height=1296),
            QUALITIES["draft"],
            False,
            "traced",
            1.91,
        ),
        (
            Counts(**WOOD, lights=64, missing=0, width=2304, height=1296),
            QUALITIES["draft"],
            False,
            "traced",
            1.20,
        ),
        (
            Counts(**WOOD, lights=64, missing=64, width=3840, height=2160),
            QUALITIES["look"],
            False,
            "traced",
            2.30,
        ),
        (
            Counts(**WOOD, lights=12, missing=12, width=3840, height=2160),
            QUALITIES["final"],
            True,
            "traced",
            2.41,
        ),
        (Counts(**SMALL_WOOD, lights=8, missing=8, width=960, height=540), RASTER, False, "raster", 0.65),
        (Counts(**WOOD, lights=4, missing=4, width=960, height=540), RASTER, False, "raster", 2.30),
        (Counts(**WOOD, lights=16, missing=16, width=960, height=540), RASTER, False, "raster", 2.86),
    ],
)
def test_the_estimate_is_what_was_measured(
    counts: Counts,
    quality: Quality,
    haze: bool,
    engine: Engine,
    measured: float,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    need = need_of(counts, quality=quality, haze=haze, engine=engine)
    assert need.memory / GB == pytest.approx(measured, rel=0.25)


def test_a_large_frame_stays_under_3_gb() -> None:
    counts = Counts(**WOOD, lights=64, missing=64, width=3840, height=2160)
    for quality in QUALITIES.values():
        for haze in (False, True):
            assert need_of(counts, quality=quality, haze=haze).memory < 3.0 * GB
    # A layer is three colours and an error a pixel, in float32; beside them lies what is seen, as much as one layer.
    assert need_of(counts, quality=QUALITIES["look"], haze=False).disk == 65 * 3840 * 2160 * 16


@pytest.mark.parametrize("engine", ["traced", "raster"])
@pytest.mark.parametrize("haze", [False, True])
@pytest.mark.parametrize("quality", QUALITIES)
def test_it_grows_with_every_count(quality: str, haze: bool, engine: Engine) -> None:
    random = np.random.default_rng(5)
    most = {
        "triangles": 9e6,
        "vertices": 2e7,
        "lights": 300,
        "missing": 300,
        "width": 7680,
        "height": 4320,
    }
    grew = 0
    for _ in range(200):
        few = Counts(**{name: int(random.integers(1, size)) for name, size in most.items()})
        for part in fields(Counts):
            more = replace(few, **{part.name: getattr(few, part.name) + int(random.integers(1, 999))})
            less, greater = (
                need_of(one, quality=QUALITIES[quality], haze=haze, engine=engine) for one in (few, more)
            )
            assert greater.memory >= less.memory
            assert greater.disk >= less.disk
            grew += greater.memory > less.memory
    assert grew > 400


def counts(ready: Ready) -> Counts:
    return counts_of(ready.stage, len(ready.lights), len(ready.lights), width=WIDTH, height=HEIGHT)


def test_the_counts_are_those_of_the_stage(tmp_path: Path) -> None:
    ready = made(tmp_path)
    told = counts(ready)
    worlds = [ready.stage.solid.world, ready.stage.shown.world, ready.stage.panes.world]
    assert told.triangles == sum(len(world.part_of_face) for world in worlds) > 1000
    assert told.vertices == sum(world.vertices.size for world in worlds) / 3
    assert (told.lights, told.missing, told.pixels) == (6, 6, WIDTH * HEIGHT)


def spare(monkeypatch: pytest.MonkeyPatch, size: int | None) -> None:
    monkeypatch.setattr(room, "memory_to_spare", lambda: size)


@pytest.mark.parametrize("engine", ["traced", "raster"])
def test_too_little_memory_is_told_and_nothing_is_written(
    engine: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spare(monkeypatch, 20_000_000)
    cache = Store(tmp_path / "cache", most_bytes=10**9)
    options = FrameOptions(640, engine=engine)
    ready = made(tmp_path)
    with pytest.raises(UserError) as refused:
        frame(ready.scene, tmp_path / "out", options, store=cache)
    said = str(refused.value)
    found = re.match(r"640 × 357 pixels with 6 fixtures and (\d+) thousand triangles take ", said)
    # The set's, and those of the rig that the camera sees.
    assert found
    assert 1.0 <= int(found[1]) / (len(ready.world.faces) / 1000) < 1.1
    assert "of memory more, and this machine has 20 MB to spare." in said
    assert said.endswith("Ask for a smaller --size, or make the set of fewer triangles.")
    assert not (tmp_path / "out").exists()
    # The set was built and is kept whole; nothing of the frame is.
    assert [entry.kind for entry in cache.entries()] == ["set"]
    assert parts(cache) == []


def test_what_fits_is_never_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = Store(tmp_path, most_bytes=10**9)
    told = Counts(**WOOD, lights=64, missing=64, width=1920, height=1080)
    need = need_of(told, quality=QUALITIES["look"], haze=False)
    spare(monkeypatch, need.memory - need.held)
    make_room(need, told, cache)
    spare(monkeypatch, need.memory - need.held - 1)
    with pytest.raises(UserError):
        make_room(need, told, cache)
    spare(monkeypatch, None)
    make_room(need, told, cache)


def test_a_small_disk_is_told_and_memory_counts_in_its_stead(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = Counts(**SMALL_WOOD, lights=64, missing=64, width=3840, height=2160)
    need = need_of(told, quality=QUALITIES["look"], haze=False)
    assert need.disk == pytest.approx(8.63 * GB, rel=0.01)
    free = store.free_room(tmp_path) and 5.5 * GB
    monkeypatch.setattr("shutil.disk_usage", lambda folder: type("Usage", (), {"free": int(free)}))
    spare(monkeypatch, 20 * 10**9)
    small = Store(tmp_path / "none yet" / "cache", most_bytes=10**9)
    with pytest.raises(UserError) as refused:
        make_room(need, told, small)
    assert str(refused.value) == (
        "The layers of 64 fixtures at 3840 × 2160 pixels take 8.6 GB on disk, and there is room for 5.0 GB: free some, "
        "set PREVIEW_CACHE to a folder on another disk, or ask for a smaller --size."
    )
    with pytest.raises(UserError, match="leave out --no-cache, or"):
        make_room(need, told, Store(tmp_path, most_bytes=10**15))
    lenient = Store(tmp_path / "cache", most_bytes=10**9, most_in_memory=4 * 10**9)
    make_room(need, told, lenient)
    spare(monkeypatch, need.memory - need.held + 10**9)
    with pytest.raises(UserError, match=r"pixels would be in it, for want of disk\. Ask"):
        make_room(need, told, lenient)


def test_old_entries_make_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.disk_usage", lambda folder: type("Usage", (), {"free": 600_000_000}))
    cache = Store(tmp_path, most_bytes=10**9)
    assert cache.room() == 100_000_000
    cache.put(KEY, {"layer": np.ones(250_000, np.float32)}, kind="layer", label="")
    assert cache.room() == pytest.approx(101_000_000, abs=1000)
    held = cache.load(KEY)
    assert cache.room() == 100_000_000
    assert held is not None


def refuse_to_tell(folder: Path) -> Any:
    raise PermissionError


def test_nothing_is_refused_where_nobody_tells(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.disk_usage", refuse_to_tell)
    spare(monkeypatch, None)
    told = Counts(**WOOD, lights=300, missing=300, width=7680, height=4320)
    make_room(need_of(told, quality=QUALITIES["final"], haze=True), told, Store(tmp_path, most_bytes=1))


def test_groups_of_lights_give_the_same_to_the_bit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ready = made(tmp_path)
    whole = bits(plate_of(ready, Scratch()))
    sizes: list[int] = []
    told: list[float] = []

    def counted(*args: Any, **kwargs: Any) -> Any:
        groups = groups_of(*args, **kwargs)
        sizes.extend(map(len, groups))
        return groups

    monkeypatch.setattr("preview.trace.plate.groups_of", counted)
    # Haze: 8 x 4 cells of 24 slices, in float32; two lights at a time.
    monkeypatch.setattr(room, "FIELDS", 2 * 13 * 8 * 12 * 8)
    assert bits(plate_of(ready, Store(tmp_path / "cache", most_bytes=10**9), progress=told.append)) == whole
    assert sizes == [2, 2, 2]
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


@pytest.mark.parametrize(("number", "fields_bytes", "sizes"), [(0, 1, [0]), (1, 1, [1]), (7, 1, [1] * 7)])
def test_groups_at_the_least(
    number: int, fields_bytes: int, sizes: list[int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(room, "FIELDS", fields_bytes)
    lights = (list(made(tmp_path).lights) * 2)[:number]
    groups = groups_of(lights, width=960, height=540, quality=QUALITIES["look"], haze=True)
    assert [len(group) for group in groups] == sizes
    assert [light for group in groups for light in group] == lights


def test_a_frame_larger_than_the_cache_is_right_and_the_bound_holds_after_it(tmp_path: Path) -> None:
    ready = made(tmp_path)
    fresh = tmp_path / "fresh"
    options = FrameOptions(WIDTH, quality="draft")
    frame(ready.scene, fresh, options, store=Store(tmp_path / "roomy", most_bytes=10**9))
    most = 60_000
    assert sum(entry.bytes for entry in Store(tmp_path / "roomy", most_bytes=10**9).entries()) > 2 * most
    for turn in ("first", "again"):
        small = Store(tmp_path / "small", most_bytes=most)
        frame(ready.scene, tmp_path / turn, options, store=small)
        for file in ("frame.png", "frame.json"):
            assert (tmp_path / turn / file).read_bytes() == (fresh / file).read_bytes()
        entries = small.entries()
        assert 0 < sum(entry.bytes for entry in entries) <= most
        # What every layer needs goes last.
        assert turn == "again" or "frame" in [entry.kind for entry in entries]
        assert small.warning is not None
        assert small.warning.startswith(
            "The layers of this frame take 0.0 GB, and the layer cache is held to 0.0 GB"
        )
        assert small.warning.endswith("Set PREVIEW_CACHE_SIZE to 1 GB to keep them.")


def test_a_frame_that_fits_the_cache_warns_of_nothing(tmp_path: Path) -> None:
    cache = Store(tmp_path / "cache", most_bytes=10**9)
    frame(made(tmp_path).scene, tmp_path / "out", FrameOptions(WIDTH, quality="draft"), store=cache)
    assert cache.warning is None


@pytest.mark.skipif(sys.platform != "linux", reason="the system tells no such numbers")
def test_what_is_set_aside_leaves_memory_and_comes_back(tmp_path: Path) -> None:
    def in_files() -> int:
        status = Path("/proc/self/status").read_text()
        return sum(
            int(line.split()[1]) for line in status.splitlines() if line.startswith(("RssFile", "RssShmem"))
        )

    cache = Store(tmp_path, most_bytes=10**9)
    values = np.random.default_rng(3).random(10_000_000, np.float32)
    with cache.making(KEY, {"layer": (values.shape, np.float32)}, kind="layer", label="") as places:
        layer = places["layer"]
        layer[...] = values
        full = in_files()
        set_aside(layer)
        # 40 MB, in kB; others of the process may come and go.
        assert full - in_files() > 30_000
        assert np.array_equal(layer, values)
    found = cache.load(KEY)
    assert found is not None
    set_aside(found["layer"])
    assert np.array_equal(found["layer"], values)
    set_aside(values)
    assert isinstance(found["layer"].base, mmap.mmap)


def test_a_world_is_not_held_twice(tmp_path: Path) -> None:
    ready = made(tmp_path)
    for geometry in (ready.stage.solid, ready.stage.shown, ready.stage.panes):
        assert len(geometry.world.faces)
        assert np.shares_memory(geometry._vertices, geometry.world.vertices)
        assert np.shares_memory(geometry._normals, geometry.world.normals)
        assert np.shares_memory(geometry._corners, geometry.world.faces)


MEMINFO = "MemTotal: 16000000 kB\nMemFree: 100 kB\nMemAvailable: 8000000 kB\nSwapFree: 1000000 kB\n"


def system(folder: Path, cgroup: str, **groups: dict[str, str]) -> tuple[Path, Path]:
    """A system's files under a folder: /proc and /sys/fs/cgroup, whose folders are told with __ for a slash."""
    proc, root = folder / "proc", folder / "cgroup"
    (proc / "self").mkdir(parents=True)
    root.mkdir()
    (proc / "meminfo").write_text(MEMINFO)
    (proc / "self" / "cgroup").write_text(cgroup)
    for name, files in groups.items():
        place = root / name.replace("__", "/").strip("/")
        place.mkdir(parents=True, exist_ok=True)
        for file, text in files.items():
            (place / file).write_text(text)
    return proc, root


def version_2(most: str, used: int, files: int) -> dict[str, str]:
    """Its three files, as the kernel's documentation on cgroup v2 lays them out."""
    stat = (
        f"anon {used - files}\nfile {files}\ninactive_file {files // 2}\nactive_file {files - files // 2}\n"
    )
    return {"memory.max": f"{most}\n", "memory.current": f"{used}\n", "memory.stat": stat}


def test_the_memory_of_the_system(tmp_path: Path) -> None:
    proc, root = system(tmp_path, "0::/\n")
    assert memory_to_spare(proc, root) == 9_000_000 * 1024


def test_the_memory_of_control_groups(tmp_path: Path) -> None:
    proc, root = system(
        tmp_path,
        "0::/shop/job\n",
        shop=version_2(str(4 * 10**9), 3 * 10**9, 10**9),
        shop__job=version_2("max", 10**9, 10**8),
    )
    # What the outer group holds of files is given back.
    assert memory_to_spare(proc, root) == 2 * 10**9


def test_the_memory_of_a_container(tmp_path: Path) -> None:
    # Its path is the host's, and its own group is the root that it sees.
    proc, root = system(tmp_path, "0::/machine/7f\n", __=version_2("1000", 1200, 100))
    assert memory_to_spare(proc, root) == 0


def test_the_memory_of_the_first_control_groups(tmp_path: Path) -> None:
    proc, root = system(
        tmp_path,
        "5:cpu:/job\n4:memory:/job\n0::/\n",
        memory__job={
            "memory.limit_in_bytes": "2000000000\n",
            "memory.usage_in_bytes": "900000000\n",
            "memory.stat": "inactive_file 7\ntotal_inactive_file 100000000\ntotal_active_file 200000000\n",
        },
    )
    assert memory_to_spare(proc, root) == 2_000_000_000 - 900_000_000 + 300_000_000


def test_where_nothing_tells_it_is_all_that_there_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pages = {"SC_PHYS_PAGES": 1000, "SC_PAGE_SIZE": 4096}
    monkeypatch.setattr("os.sysconf", pages.__getitem__, raising=False)
    assert memory_to_spare(tmp_path, tmp_path) == 4_096_000
    monkeypatch.delattr("os.sysconf")
    assert memory_to_spare(tmp_path, tmp_path) is None


FILES = """
import resource, sys, tempfile
from contextlib import ExitStack
from pathlib import Path
import numpy as np
from preview.trace.machine import may_open
from preview.trace.store import Store
hard = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
resource.setrlimit(resource.RLIMIT_NOFILE, (256, hard))
if sys.argv[1] == "asked":
    may_open(300)
with tempfile.TemporaryDirectory() as folder, ExitStack() as made:
    store = Store(Path(folder), most_bytes=10**9)
    for number in range(300):
        key = f"{number:032x}"
        made.enter_context(store.making(key, {"layer": ((4,), np.float32)}, kind="layer", label=""))
    print(store.warning, len(list(Path(folder).iterdir())))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
@pytest.mark.parametrize(
    ("asked", "said"),
    [("asked", "None 300\n"), ("not asked", "cannot be written: too many open files.")],
)
def test_three_hundred_layers_at_once(asked: str, said: str) -> None:
    # 256 is what some systems allow a process at first; each layer that is being made takes one.
    run = [sys.executable, "-c", FILES, asked]
    assert said in subprocess.run(run, capture_output=True, text=True, check=True).stdout


def test_files_are_never_fewer_than_before(monkeypatch: pytest.MonkeyPatch) -> None:
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_NOFILE)
    machine.may_open(1)
    assert resource.getrlimit(resource.RLIMIT_NOFILE)[0] >= before[0]
    asked: list[Any] = []
    monkeypatch.setattr(resource, "getrlimit", lambda kind: (256, 1000))
    monkeypatch.setattr(resource, "setrlimit", lambda kind, limits: asked.append(limits))
    machine.may_open(100)
    machine.may_open(5000)
    assert asked == [(1000, 1000)]


BARE = """
set: [{ground: {}}]
camera: {lens: {focal: 28 mm}, at: [0, -5, 1.6], aim: [0, 2, 1.3]}
fixtures: [{name: moon, moon: {azimuth: 120 deg, elevation: 40 deg, lux: 1}}]
"""


def test_the_check_tells_it(tmp_path: Path) -> None:
    ready = prepare(scene(tmp_path, BARE))
    lines = [str(part) for part in check(ready.scene.path, explain=False)]
    told = next(line for line in lines if line.startswith("A frame of"))
    height, large = round(960 / ready.view.aspect), round(3840 / ready.view.aspect)
    assert f" and {2 * 16 * 960 * height / 1e6:.0f} MB of the cache; one of 3840, " in told
    assert told.endswith(f" and {2 * 16 * 3840 * large / 1e6:.0f} MB.")
    assert len(NAMES) == 6
