"""The command from outside: what it prints, its exit status, and what it leaves behind when it is stopped."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from preview import cli
from preview.cli.app import MOST_FAULTS
from preview.cli.progress import progress_of
from preview.script.schema import schema

ROOT = Path(__file__).parents[1]
DEMOS = sorted((ROOT / "scenes").glob("*.yaml"))

SMALL = """\
set:
  - ground: {material: concrete, size: [40, 40]}
  - box: {at: [0, 2], size: [1, 1, 1]}
camera: {lens: {focal: 35 mm}, at: [0, -6, 1.5], aim: [0, 2, 0.5]}
fixtures:
  - {name: key, head: tungsten-fresnel-650, at: [-4, -3, 3], aim: [0, 2, 0.5]}
marks:
  - {name: top, at: [0, 2, 1], facing: up}
"""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    file = tmp_path / "small.yaml"
    file.write_text(SMALL, encoding="utf-8")
    return file


def preview(*words: str | Path, cwd: Path, before: str = "") -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, after Python of the test's that sets a trap in it."""
    # A test run in the background of a shell has ctrl-C ignored, which its children inherit.
    listening = "import os, signal, time\nsignal.signal(signal.SIGINT, signal.default_int_handler)"
    program = f"{listening}\n{before}\nfrom preview.__main__ import main\nmain()"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        [sys.executable, "-c", program, *map(str, words)],
        cwd=cwd,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def left_in(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


# --- what it says, and its exit status ---------------------------------------------------------------------------


def test_alone_it_shows_its_help() -> None:
    answer = CliRunner().invoke(cli.app, [])
    assert answer.exit_code == 0
    for name in ("frame", "coverage", "check", "schema", "new"):
        assert f"\n  {name} " in answer.output


def test_an_unknown_command_is_told_on_standard_error(tmp_path: Path) -> None:
    answer = preview("fram", "x.yaml", cwd=tmp_path)
    assert answer.returncode == 2
    assert answer.stdout == ""
    assert "No such command 'fram'" in answer.stderr


@pytest.mark.parametrize("size", ["3", "960 x 540", "wide", "99999", "-5", "٣٣٣"])
def test_a_width_that_is_none_is_refused(size: str) -> None:
    answer = CliRunner().invoke(cli.app, ["frame", "x.yaml", "--size", size])
    assert answer.exit_code == 2
    assert "16 to 7680 pixels" in answer.output


def test_a_wrong_option_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["frame", "gate.yaml", "--sise", "300"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "--sise" in told.err
    assert len(told.err.splitlines()) == 1


def test_a_long_run_that_nobody_watches_says_how_far_it_is(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now = [0.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    with progress_of("The gate, main", quiet=True) as tell:
        for seconds, share in ((5, 0.2), (21, 0.3), (22, 0.34), (30, 0.61), (40, 1.0)):
            now[0] = seconds
            tell(share)
    assert capsys.readouterr().err.splitlines() == ["The gate, main: 30 %", "The gate, main: 60 %"]


def test_a_frame_is_written_and_summed_up(scene: Path) -> None:
    answer = preview("frame", scene.name, "--size", "32x18", "--quality", "draft", cwd=scene.parent)
    assert answer.returncode == 0, answer.stderr
    assert answer.stderr == ""
    folder = Path("renders") / "small" / "main.draft"
    assert answer.stdout.endswith(f"Wrote frame.png, stops.png, frame.exr, frame.json in {folder}\n")
    assert left_in(scene.parent / folder) == ["frame.exr", "frame.json", "frame.png", "stops.png"]
    again = preview(
        "frame", scene.name, "--size", "32", "--quality", "draft", "--json", "--out", "b", cwd=scene.parent
    )
    report = json.loads(again.stdout)
    assert report["width"] == 32
    written = json.loads((scene.parent / "b" / "frame.json").read_text(encoding="utf-8"))
    assert report == written


def test_coverage_is_written_and_told(scene: Path) -> None:
    answer = preview("coverage", scene.name, "--out", "seen", cwd=scene.parent)
    assert answer.returncode == 0, answer.stderr
    assert left_in(scene.parent / "seen") == ["coverage.json", "coverage.png"]


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path) -> None:
    (tmp_path / "gate.yaml").write_text(
        """\
set:
  - ground: {material: gras}
  - box: {at: [0, 2], size: [1, -1, 1]}
camera: {lens: {focal: 35 mm}, at: [0, -6, 1.5], aim: Mara.eyes, balence: 4300}
fixtures:
  - {name: key, head: tungsten-fresnel-650, at: [-4, -3, 3], aim: [0, 2, 0.5],
     through: [{frame: 4x4 ft, cloth: haf-grid}]}
setups:
  tight: {camera: {lens: {focal: 85 kg}}}
""",
        encoding="utf-8",
    )
    answer = preview("frame", "gate.yaml", cwd=tmp_path)
    assert answer.returncode == 2
    assert answer.stdout == ""
    assert answer.stderr == (
        'gate.yaml:2: set[0].ground.material: no material "gras"; did you mean "grass"?\n'
        "gate.yaml:3: set[1].box.size[1]: must be more than 0, not -1\n"
        'gate.yaml:4: camera.balence: no such key; did you mean "balance"?\n'
        'gate.yaml:4: camera.aim: no place "Mara.eyes"; there is ground, key\n'
        'gate.yaml:7: fixtures[0].through[0].cloth: no cloth "haf-grid"; did you mean "half-grid"?\n'
        'gate.yaml:9: setups.tight.camera.lens.focal: no unit "kg" for a length; '
        "use m, cm, mm, ft or in\n"
    )
    assert left_in(tmp_path) == ["gate.yaml"]


def test_a_flood_of_faults_is_cut_short(tmp_path: Path) -> None:
    boxes = "".join(f"  - box: {{at: [0, {n}], size: [1, 1, -1]}}\n" for n in range(70))
    (tmp_path / "many.yaml").write_text(SMALL.replace("set:\n", "set:\n" + boxes))
    lines = preview("check", "many.yaml", cwd=tmp_path).stderr.splitlines()
    assert len(lines) == MOST_FAULTS + 1
    assert all("must be more than 0" in line for line in lines[:-1])
    number = int(lines[-1].removeprefix("… and ").removesuffix(" more."))
    assert number >= 70 - MOST_FAULTS


def test_a_missing_file_and_a_missing_setup(scene: Path) -> None:
    answer = preview("frame", "smal.yaml", cwd=scene.parent)
    assert (answer.returncode, answer.stderr) == (
        2,
        "smal.yaml: there is no such file; beside it there is small.yaml\n",
    )
    answer = preview("coverage", "small.yaml", "--setup", "tight", cwd=scene.parent)
    assert (answer.returncode, answer.stderr) == (2, 'small.yaml: no setup "tight"; there is main\n')


# --- check, schema, new ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("demo", DEMOS, ids=lambda path: path.stem)
def test_the_demo_scenes_have_no_faults(demo: Path) -> None:
    answer = CliRunner().invoke(cli.app, ["check", str(demo)])
    assert answer.exit_code == 0, answer.output
    script = yaml.safe_load(demo.read_text(encoding="utf-8"))
    assert answer.output.startswith(script["title"] + "\n")
    assert answer.output.endswith("No faults.\n")
    for setup in script["setups"]:
        assert f"\n{setup} " in answer.output
    for fixture in script["fixtures"]:
        assert fixture["name"] in answer.output


def test_there_are_demo_scenes() -> None:
    assert [demo.stem for demo in DEMOS] == [
        "bus-shelter",
        "driftwood-fire",
        "night-market",
        "orchard-gate",
        "wet-quay",
    ]


def test_check_counts_what_is_built(scene: Path) -> None:
    output = CliRunner().invoke(cli.app, ["check", str(scene)]).output
    rows = {line.split()[0]: line.split() for line in output.splitlines() if line}
    assert rows["box"] == ["box", "box", "12"]  # six sides of two triangles
    ground = int(rows["ground"][2])
    assert rows["whole"][-1] == str(ground + 12)
    assert rows["key"] == ["key", "tungsten-fresnel-650", "full", "flood", "100", "%", "650", "3200"]
    assert "Heads and practicals draw 650 W at full, losses in ballasts and cable apart." in output
    assert rows["main"][-2] == "8.1"  # metres to focus: the root of 8 squared and 1 squared


def test_explain_shows_what_was_filled_in(scene: Path) -> None:
    output = CliRunner().invoke(cli.app, ["check", str(scene), "--explain"]).output
    rows = {line.split()[0]: line for line in output.splitlines() if line}
    assert " 800 " in rows["camera.iso"]
    assert " 180 deg " in rows["camera.shutter.angle"]
    assert "camera.lens.focal" not in rows


def test_a_mesh_that_is_missing_is_a_fault(tmp_path: Path) -> None:
    (tmp_path / "cart.yaml").write_text(SMALL.replace("  - box", "  - mesh: {file: cart.ply}\n  - box"))
    answer = preview("check", "cart.yaml", cwd=tmp_path)
    assert (answer.returncode, answer.stdout) == (2, "")
    assert answer.stderr == "cart.yaml:3: set[1].mesh.file: there is no file cart.ply\n"


def test_frames_are_told_in_feet_where_they_are_whole_feet(tmp_path: Path) -> None:
    cloths = "through: [{frame: 8x8 ft, cloth: half-grid}, {frame: 1.2x0.6 m, cloth: half-silk}]"
    text = SMALL.replace("0.5]}\nmarks", f"0.5], {cloths}}}\nmarks")
    (tmp_path / "framed.yaml").write_text(text, encoding="utf-8")
    told = preview("check", "framed.yaml", cwd=tmp_path, before="import os; os.environ['COLUMNS'] = '160'")
    assert told.returncode == 0, told.stderr
    assert "half-grid 8 × 8 ft, half-silk 1.2 × 0.6 m" in told.stdout


def test_the_faults_of_mesh_files_have_their_lines(tmp_path: Path) -> None:
    (tmp_path / "notmesh.obj").write_text("# nothing in it\n")
    (tmp_path / "speck.obj").write_text("v 0 0 0\nv 0.001 0 0\nv 0 0.001 0\nf 1 2 3\n")
    meshes = """\
  - mesh: {file: notmesh.obj}
  - mesh:
      name: old cart
      file: notmesh.obj
  - mesh:
      name: speck
      file: speck.obj
      scale: 1.0
  - box"""
    (tmp_path / "cart.yaml").write_text(SMALL.replace("  - box", meshes))
    answer = preview("check", "cart.yaml", cwd=tmp_path)
    assert (answer.returncode, answer.stdout) == (2, "")
    nothing = "notmesh.obj holds no faces, so there is nothing for light to fall on"
    assert answer.stderr.splitlines() == [
        f"cart.yaml:3: set[1].mesh.file: {nothing}",
        f"cart.yaml:6: set[2].mesh.file: {nothing}",
        "cart.yaml:10: set[3].mesh.scale: speck.obj would be 0.1 cm at its largest, surely in the wrong unit; "
        "give `scale` as a factor; the file's own largest extent is 0.001",
    ]


@pytest.mark.skipif(
    not os.path.isdir("/proc/self"), reason="needs a folder in which the kernel makes nothing"
)
def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "cart.yaml").write_text(SMALL)
    answer = preview(
        "frame", "cart.yaml", "--quality", "draft", "--size", "32", "--out", "/proc/x", cwd=tmp_path
    )
    assert answer.returncode == 2
    assert answer.stderr.splitlines()[-1] == (
        "Cannot write to /proc/x: no such folder can be made there. "
        "No file was written or changed; what was there before is kept."
    )


def test_the_schema_is_json_schema() -> None:
    answer = CliRunner().invoke(cli.app, ["schema"])
    printed = json.loads(answer.output)
    assert printed == schema()
    jsonschema.Draft202012Validator.check_schema(printed)
    validator = jsonschema.Draft202012Validator(printed)
    for demo in DEMOS:
        # A date is text in JSON, and to the editors that read a script with its schema.
        script = yaml.safe_load(demo.read_text(encoding="utf-8"))
        validator.validate(json.loads(json.dumps(script, default=str)))


def test_new_writes_a_scene_without_faults(tmp_path: Path) -> None:
    answer = preview("new", "reel 2/first-night", cwd=tmp_path)
    assert (answer.returncode, answer.stderr) == (0, "")
    assert left_in(tmp_path) == ["reel 2", str(Path("reel 2") / "first-night.yaml")]
    assert 'title: "First night"\n' in (tmp_path / "reel 2" / "first-night.yaml").read_text(encoding="utf-8")
    checked = preview("check", Path("reel 2") / "first-night.yaml", cwd=tmp_path)
    assert checked.stdout.endswith("No faults.\n")


def test_new_overwrites_nothing(scene: Path) -> None:
    for name in ("small", "small.yaml"):
        answer = preview("new", name, cwd=scene.parent)
        assert (answer.returncode, answer.stdout) == (2, "")
        assert answer.stderr == "small.yaml is there already, and is left as it is; choose another name.\n"
    assert scene.read_text(encoding="utf-8") == SMALL
    assert left_in(scene.parent) == ["small.yaml"]


@pytest.mark.parametrize(
    "name", ["", ".", "..", ".yaml", "a:b", "what?", "con", "NUL.yaml", "line\nbreak", ".hidden"]
)
def test_new_refuses_what_is_no_file_name(tmp_path: Path, name: str) -> None:
    answer = preview("new", name, cwd=tmp_path)
    assert answer.returncode == 2
    assert answer.stderr.count("\n") == 1
    assert "first-night" in answer.stderr
    assert left_in(tmp_path) == []


# --- stopped, or out of room -------------------------------------------------------------------------------------

STOP_ITSELF = "lambda *_, **__: os.kill(os.getpid(), signal.SIGINT)"
TRAPS = {
    "while it loads": f"import preview.script.read as r; r.read_scene = {STOP_ITSELF}",
    "while it builds": f"import preview.commands.frame as f; f.prepare = {STOP_ITSELF}",
    "while it traces": "import preview.commands.frame as f; whole = f.trace\n"
    f"f.trace = lambda *a, progress, **k: whole(*a, progress={STOP_ITSELF}, **k)",
    "while it writes": f"import preview.commands.frame as f; f.write_exr = {STOP_ITSELF}",
    "twice": "import preview.commands.frame as f\n"
    "def twice(*_): os.kill(os.getpid(), signal.SIGINT)\n"
    "f.write_exr = twice\n"
    "import preview.sheets.stage as s; tidy = s._tidy\n"
    f"s._tidy = lambda *a: (({STOP_ITSELF})(), tidy(*a))",
    "so that a library fails": "import preview.commands.frame as f\n"
    "def fail(*_, **k):\n"
    "    try: os.kill(os.getpid(), signal.SIGINT); time.sleep(9)\n"
    "    except KeyboardInterrupt: raise ImportError('initialization failed')\n"
    "f.prepare = fail",
}
"""Ways to be interrupted at a moment that is sure, by name."""


@pytest.mark.skipif(sys.platform == "win32", reason="a process there cannot send itself ctrl-C alone")
@pytest.mark.parametrize("moment", TRAPS)
def test_an_interrupted_frame_leaves_nothing_and_says_so(scene: Path, moment: str) -> None:
    answer = preview(
        "frame", "small.yaml", "--size", "64", "--out", "a/b", cwd=scene.parent, before=TRAPS[moment]
    )
    assert answer.returncode == 130, answer.stderr
    assert answer.stderr.startswith("Stopped.")
    assert answer.stderr.count("\n") == 1
    assert answer.stdout == ""
    assert left_in(scene.parent) == ["small.yaml"]


@pytest.mark.skipif(sys.platform == "win32", reason="a process there cannot send itself ctrl-C alone")
def test_an_interrupted_frame_keeps_the_one_before(scene: Path) -> None:
    words = ("frame", "small.yaml", "--size", "32", "--quality", "draft", "--out", "out")
    assert preview(*words, cwd=scene.parent).returncode == 0
    before = {path.name: path.read_bytes() for path in (scene.parent / "out").iterdir()}
    answer = preview(*words, "--seed", "2", cwd=scene.parent, before=TRAPS["while it writes"])
    assert answer.stderr == "Stopped. No file was written or changed; what was there before is kept.\n"
    assert {path.name: path.read_bytes() for path in (scene.parent / "out").iterdir()} == before
    assert left_in(scene.parent)[-1] == "small.yaml"


def full_disk(*_: object, **__: object) -> NoReturn:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_full_disk_is_one_sentence(
    scene: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("preview.commands.frame.write_exr", full_disk)
    out = scene.parent / "a" / "b"
    status = cli.run(["frame", str(scene), "--size", "32", "--quality", "draft", "--out", str(out)])
    printed = capsys.readouterr()
    assert status == 2
    assert printed.out == ""
    assert printed.err == (
        f"Cannot write to {out}: the disk is full. No file was written or changed; what was there before is kept.\n"
    )
    assert left_in(scene.parent) == ["small.yaml"]


def test_a_full_disk_while_new_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(Path, "write_text", full_disk)
    assert cli.run(["new", str(tmp_path / "night")]) == 2
    assert (
        capsys.readouterr().err
        == f"Cannot write {tmp_path / 'night.yaml'}: the disk is full. No file was written.\n"
    )
    assert left_in(tmp_path) == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_an_answer_that_cannot_be_printed(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "preview", "schema"],
            cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert (done.returncode, done.stderr) == (2, "The answer cannot be printed: the disk is full.\n")


@pytest.mark.skipif(sys.platform == "win32", reason="closed pipes are told otherwise there")
def test_a_reader_who_has_seen_enough(tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "preview", "schema"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=writing, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    os.close(writing)
    assert (done.returncode, done.stderr) == (1, "")
