"""What README.md and DEVELOPERS.md show, held against the program: scenes, commands, files, names."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
import yaml

from preview import cli
from preview.build.assemble import assemble
from preview.camera.exposure import footcandles, grey_illuminance
from preview.faults import UserError
from preview.script.models.pieces import PIECES
from preview.script.read import read_scene, read_script

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

SNIPPETS = re.findall(r"^```yaml\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
SHOWN = re.findall(r"^    (\S.*)$", README, re.MULTILINE)
"""Indented lines: what a reader may copy, and one message."""
COMMANDS = [
    part.strip().removeprefix(".venv/bin/")
    for line in SHOWN
    for part in line.split("&&")
    if part.strip().startswith(("preview ", ".venv/bin/preview "))
]
IN_TABLE = re.findall(r"^\| `(preview [^`]+)` \|", README, re.MULTILINE)


@pytest.fixture
def tour(tmp_path: Path) -> Path:
    """The parts of the tour, one after the other, as its reader would put them together."""
    file = tmp_path / "late.yaml"
    file.write_text("".join(SNIPPETS), encoding="utf-8")
    return file


def test_the_tour_is_one_scene(tour: Path) -> None:
    parts = [key for snippet in SNIPPETS for key in yaml.safe_load(snippet)]
    assert parts == ["title", "set", "cast", "camera", "haze", "fixtures", "marks", "setups", "looks"]
    script = read_script(tour)
    for setup in script.setups:
        for look in (None, *script.looks):
            scene = script.scene(setup=setup, look=look)
    world = assemble(scene)
    assert len(world.faces) > 100_000
    assert {name.partition(".")[0] for name in world.names} >= {
        "house",
        "street",
        "tree line",
        "Noor",
        "Courier",
    }


def test_the_fault_that_the_readme_shows(tour: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tour.parent)
    tour.write_text(tour.read_text(encoding="utf-8").replace("half-grid", "haf-grid"), encoding="utf-8")
    with pytest.raises(UserError) as wrong:
        read_scene(Path("late.yaml"))
    assert str(wrong.value) in SHOWN


def test_commands_are_shown() -> None:
    assert len(COMMANDS) >= 10
    assert {command.split()[1] for command in COMMANDS} == set(cli.app.commands)
    assert {command.split()[1] for command in IN_TABLE} == set(cli.app.commands)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_that_is_shown_exists_with_its_options(command: str) -> None:
    name, *words = shlex.split(command.partition(">")[0])[1:]
    shown = cli.app.commands[name]
    # Parses the words as the command would, without running it; UsageError is a failure.
    context = shown.make_context(name, words, resilient_parsing=False)
    assert isinstance(context, click.Context)
    scene = context.params.get("scene")
    if scene is None:
        return
    assert (ROOT / scene).is_file()
    read_scene(ROOT / scene, setup=context.params.get("setup"), look=context.params.get("look"))


def test_the_two_commands_of_a_newcomer() -> None:
    first, second = [line for line in SHOWN if line.startswith("python3 -m venv .venv && ")]
    assert README.index(first) < README.index(second) < README.index("## ")
    assert first.endswith(".venv/bin/pip install -q . && .venv/bin/preview frame scenes/orchard-gate.yaml")
    assert second.endswith(".venv/bin/pip install -q '.[test]' && .venv/bin/pytest -q")


@pytest.mark.parametrize(
    "path", sorted({*re.findall(r"\]\(([^)#:]+)\)", README), *re.findall(r"\]\(([^)#:]+)\)", DEVELOPERS)})
)
def test_what_is_linked_is_there(path: str) -> None:
    assert (ROOT / path).is_file()


def test_the_pieces_and_places_that_the_readme_names(tour: Path) -> None:
    listed = README.partition("There are ")[2].partition("\n\n")[0]
    assert set(re.findall(r"`(\w+):?`", listed)) == set(PIECES)
    assert "Its `face`, `eyes`, `chest` and `feet` are places too." in README
    anchors = read_scene(tour).anchors
    assert {f"Noor.{part}" for part in ("face", "eyes", "chest", "feet")} <= set(anchors)


def test_the_exposure_that_the_readme_works_out() -> None:
    # The rule in the text: 25 * 2.8**2 / (800 / 48).
    lux = grey_illuminance(iso=800, stop=2.8, time_s=1 / 48)
    assert footcandles(lux) == pytest.approx(25 * 2.8**2 / (800 / 48))
    assert f"wants {footcandles(lux):.1f} fc, {lux:.0f} lux" in README.replace("\n", " ")


@pytest.mark.parametrize(
    "path",
    sorted(set(re.findall(r"`((?:preview|tests|scenes|meshes|\.ci)/[\w./*-]*)`", DEVELOPERS + README))),
)
def test_a_path_that_is_named_is_there(path: str) -> None:
    assert list(ROOT.glob(path.rstrip("/"))), path


def test_every_room_is_told() -> None:
    rooms = {folder.name for folder in (ROOT / "preview").iterdir() if (folder / "__init__.py").is_file()}
    assert {room for room in rooms if f"`preview/{room}/`" in DEVELOPERS} == rooms


@pytest.mark.parametrize(
    "name", sorted(set(re.findall(r"`(preview(?:\.\w+)+|tests(?:\.\w+)+)`", DEVELOPERS)))
)
def test_a_module_that_is_named_is_there(name: str) -> None:
    path = ROOT.joinpath(*name.split("."))
    if not path.exists() and not path.with_suffix(".py").is_file():
        # The last word may be something in the module.
        module = path.parent.with_suffix(".py")
        assert module.is_file()
        assert re.search(rf"^(?:def |class )?{path.name}\b", module.read_text(encoding="utf-8"), re.MULTILINE)
