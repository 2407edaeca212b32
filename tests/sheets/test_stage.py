"""Writing is all or nothing: whatever goes wrong, no half file and no leftovers."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from preview.faults import UserError
from preview.sheets.stage import staged


def write(folder: Path, act: Callable[[Path], object]) -> None:
    with staged(folder) as stage:
        act(stage)


def half_then_stop(stage: Path) -> None:
    (stage / "frame.png").write_bytes(b"ha")
    raise KeyboardInterrupt


def listing(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


def test_files_arrive_with_their_folders(tmp_path: Path) -> None:
    with staged(tmp_path / "renders" / "gate" / "main") as stage:
        (stage / "frame.png").write_bytes(b"new")
        (stage / "layers").mkdir()
        (stage / "layers" / "moon.exr").write_bytes(b"layer")
        assert not (tmp_path / "renders" / "gate" / "main").exists()
    assert listing(tmp_path) == {
        "renders",
        "renders/gate",
        "renders/gate/main",
        "renders/gate/main/frame.png",
        "renders/gate/main/layers",
        "renders/gate/main/layers/moon.exr",
    }


def test_a_rewrite_replaces_what_it_wrote_and_leaves_the_rest(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "frame.png").write_bytes(b"old")
    (tmp_path / "out" / "notes.txt").write_bytes(b"mine")
    with staged(tmp_path / "out") as stage:
        (stage / "frame.png").write_bytes(b"new")
    assert (tmp_path / "out" / "frame.png").read_bytes() == b"new"
    assert (tmp_path / "out" / "notes.txt").read_bytes() == b"mine"
    assert listing(tmp_path) == {"out", "out/frame.png", "out/notes.txt"}


def test_an_interrupt_keeps_the_old_file_and_says_so(tmp_path: Path) -> None:
    (tmp_path / "frame.png").write_bytes(b"old")
    with pytest.raises(KeyboardInterrupt, match="No file was written or changed"):
        write(tmp_path, half_then_stop)
    assert (tmp_path / "frame.png").read_bytes() == b"old"
    assert listing(tmp_path) == {"frame.png"}
    assert not [path for path in tmp_path.parent.iterdir() if path.name.endswith(".part")]


def test_an_interrupt_on_a_new_folder_leaves_no_folder(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        write(tmp_path / "renders" / "gate", half_then_stop)
    assert listing(tmp_path) == set()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs the kernel's always-full device")
def test_a_full_disk_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "frame.png").write_bytes(b"old")

    def fill(stage: Path) -> None:
        (stage / "stops.png").write_bytes(b"whole")
        (stage / "frame.png").symlink_to("/dev/full")  # a real ENOSPC from the kernel
        (stage / "frame.png").write_bytes(b"x" * 100_000)

    with pytest.raises(UserError) as caught:
        write(tmp_path / "out", fill)
    assert str(caught.value) == (
        f"Cannot write to {tmp_path / 'out'}: the disk is full. "
        "No file was written or changed; what was there before is kept."
    )
    assert (tmp_path / "out" / "frame.png").read_bytes() == b"old"
    assert listing(tmp_path) == {"out", "out/frame.png"}


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on file size")
def test_a_write_cut_short_by_the_system(tmp_path: Path) -> None:
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        with pytest.raises(UserError, match="grew past the size allowed"), staged(tmp_path / "out") as stage:
            (stage / "frame.exr").write_bytes(b"x" * 10_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert listing(tmp_path) == set()


def test_a_library_that_hides_a_full_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("preview.sheets.stage._is_full", lambda stage: True)
    with pytest.raises(UserError, match="the disk is full"), staged(tmp_path / "out"):
        raise RuntimeError("error writing image file")
    assert listing(tmp_path) == set()


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(UserError, match="a file stands where a folder should be"):
        write(tmp_path / "out", lambda stage: (stage / "frame.png").write_bytes(b"new"))
    assert (tmp_path / "out").read_text() == "a file"
    assert listing(tmp_path) == {"out"}


def test_a_file_where_a_parent_should_be(tmp_path: Path) -> None:
    (tmp_path / "renders").write_text("a file")
    with pytest.raises(UserError, match="a file stands where"), staged(tmp_path / "renders" / "gate"):
        pass
    assert listing(tmp_path) == {"renders"}


@pytest.mark.skipif(
    not os.path.isdir("/proc/self"), reason="needs a folder in which the kernel makes nothing"
)
@pytest.mark.parametrize("folder", ["/proc/x", "/proc/x/main"])
def test_a_folder_where_none_can_be_made(folder: str) -> None:
    with pytest.raises(UserError) as caught, staged(Path(folder)):
        pass
    assert str(caught.value) == (
        f"Cannot write to {folder}: no such folder can be made there. "
        "No file was written or changed; what was there before is kept."
    )


@pytest.mark.parametrize("name", ["x" * 300, "x" * 300 + "/main"])
def test_a_name_that_is_too_long(tmp_path: Path, name: str) -> None:
    with pytest.raises(UserError, match="the name is too long"), staged(tmp_path / name):
        pass
    assert listing(tmp_path) == set()


def test_a_reason_that_has_no_words_here_is_the_systems_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EMLINK, "Too many links")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with (
        pytest.raises(UserError, match="out: too many links"),
        staged(tmp_path / "out"),
    ):
        pass


def test_a_failure_while_moving_names_what_arrived(tmp_path: Path) -> None:
    (tmp_path / "out" / "b.png").mkdir(parents=True)

    def two(stage: Path) -> None:
        (stage / "a.png").write_bytes(b"a")
        (stage / "b.png").write_bytes(b"b")

    with pytest.raises(UserError) as caught:
        write(tmp_path / "out", two)
    assert "Written whole: a.png; everything else" in str(caught.value)
    assert listing(tmp_path) == {"out", "out/a.png", "out/b.png"}


def test_an_error_about_another_file_is_not_ours(tmp_path: Path) -> None:
    other = tmp_path / "mesh.obj"
    other.write_text("")
    with pytest.raises(NotADirectoryError):
        write(tmp_path / "out", lambda stage: (other / "inside").read_bytes())
    assert listing(tmp_path) == {"mesh.obj"}


def test_bugs_pass_through(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), staged(tmp_path / "out"):
        1 / 0  # noqa: B018
    assert listing(tmp_path) == set()
