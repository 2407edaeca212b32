"""The script's haze: one way to say how thick it is, changed by a setup and never by a look, told by check."""

# ruff: noqa: E501 - sentences are written whole
from __future__ import annotations

from pathlib import Path

import pytest

from preview.commands.air import air_of
from preview.commands.check import check
from preview.script.explain import defaults
from preview.script.schema import schema
from tests.script.scenes import SMALL, faults, scene


@pytest.mark.parametrize(
    ("haze", "told"),
    [
        ("", "haze: say how thick the haze is: visibility: 80 m, or density: 0.05 (per metre)"),
        ("{}", "haze: say how thick the haze is: visibility: 80 m, or density: 0.05 (per metre)"),
        ("{forward: 0.5}", "haze: say how thick the haze is: visibility: 80 m, or density: 0.05 (per metre)"),
        ("{visibility: 80 m, density: 0.05}", "haze.density: visibility and density are two ways to say the same; give one of them"),
        ("{visibility: 0}", "haze.visibility: must be at least 1 m, not 0"),
        ("{density: 0}", "haze.density: must be more than 0, not 0"),
        ("{density: 5}", "haze.density: must be at most 4, not 5"),
        ("{density: 0.1, falloff: 0}", "haze.falloff: must be more than 0, not 0"),
        ("{density: 0.1, forward: 1}", "haze.forward: must be at most 0.95, not 1"),
        ("{density: 0.1, albedo: 1.5}", "haze.albedo: must be at most 1, not 1.5"),
        ("{density: 0.1, from: 2}", "haze.from: from goes with falloff: without it the haze is the same at all heights"),
        ("{visibilty: 80 m}", 'haze.visibilty: no such key; did you mean "visibility"?'),
        ("thick", 'haze: a group of keys (visibility, density, falloff, from, forward, albedo) is needed, not "thick"'),
    ],
)  # fmt: skip
def test_haze_that_makes_no_sense(tmp_path: Path, haze: str, told: str) -> None:
    own = faults(tmp_path, SMALL + f"haze: {haze}\n")
    assert own[0] == f"scene.yaml:2: {told}"
    assert all("say how thick" in fault for fault in own[1:])


def test_haze_by_visibility_or_density(tmp_path: Path) -> None:
    """Koschmieder 1924, a threshold of 2 %: 3.912 / visibility."""
    seen = air_of(scene(tmp_path, SMALL + "haze: {visibility: 100 m}\n"))
    assert seen is not None
    assert seen.extinction == pytest.approx(0.03912)
    thick = air_of(
        scene(tmp_path, SMALL + "haze: {density: 0.1, falloff: 20 ft, from: 1, forward: 0.6, albedo: 0.9}\n")
    )
    assert thick is not None
    assert (thick.extinction, thick.falloff, thick.base) == (0.1, 6.096, 1.0)
    assert (thick.forward, thick.albedo) == (0.6, 0.9)
    assert air_of(scene(tmp_path, SMALL)) is None


SETUPS = (
    SMALL
    + "haze: {visibility: 80 m, falloff: 6}\nsetups:\n"
    + "  clear: {haze: }\n  thick: {haze: {visibility: 20 m}}\n  even: {haze: {falloff: }}\n"
)


def test_a_setup_changes_haze_and_takes_it_away(tmp_path: Path) -> None:
    def haze(setup: str | None) -> tuple[float, float | None] | None:
        air = air_of(scene(tmp_path, SETUPS, setup=setup))
        return None if air is None else (round(air.extinction, 4), air.falloff)

    assert haze(None) == (0.0489, 6.0)
    assert haze("clear") is None
    assert haze("thick") == (0.1956, 6.0)
    for word in ("off", "none", "No", "false"):
        cleared = scene(tmp_path, SETUPS.replace("{haze: }", f"{{haze: {word}}}"), setup="clear")
        assert air_of(cleared) is None
    assert haze("even") == (0.0489, None)
    laid = scene(tmp_path, SMALL + "setups: {misty: {haze: {density: 0.02}}}\n", setup="misty")
    assert laid.haze is not None
    assert laid.haze.density == 0.02


def test_faults_of_haze_in_a_setup_are_told_there(tmp_path: Path) -> None:
    text = (
        SMALL + "haze: {visibility: 80 m}\nsetups:\n  a:\n    haze: {density: 0.1}\n  b:\n    haze: thick\n"
    )
    assert faults(tmp_path, text) == [
        "scene.yaml:5: setups.a.haze.density: visibility and density are two ways to say the same; give one of them",
        "scene.yaml:7: setups.b.haze: a group of keys is needed, such as haze: {visibility: 80 m}",
    ]
    assert faults(tmp_path, SMALL + "setups:\n  a:\n    haze: {forward: 0.5}\n") == [
        "scene.yaml:4: setups.a.haze: say how thick the haze is: visibility: 80 m, or density: 0.05 (per metre)"
    ]


def test_a_look_cannot_change_haze(tmp_path: Path) -> None:
    text = SMALL + "looks:\n  misty:\n    haze: {visibility: 80 m}\n"
    assert faults(tmp_path, text) == [
        "scene.yaml:4: looks.misty.haze: a look is only arithmetic: it changes camera and fixtures; put the rest in a setup"
    ]


def test_check_tells_the_haze_of_every_setup(tmp_path: Path) -> None:
    """Of an extinction of 3.912 / 80 m half is left after ln 2 / 0.0489 = 14.2 m."""
    file = tmp_path / "scene.yaml"
    file.write_text(SETUPS, encoding="utf-8")
    lines = [str(part) for part in check(file, explain=False)]
    thins = "; 37 % as thick every 6 m above 0 m"
    assert [line for line in lines if line.startswith("Haze")] == [
        f"Haze: one sees 80 m; half of a light is left after 14 m{thins}.",
        "Haze in clear: none.",
        f"Haze in thick: one sees 20 m; half of a light is left after 3.5 m{thins}.",
        "Haze in even: one sees 80 m; half of a light is left after 14 m.",
    ]
    file.write_text(SMALL, encoding="utf-8")
    assert not any("Haze" in str(part) for part in check(file, explain=False))


def test_what_haze_leaves_to_a_default_is_explained(tmp_path: Path) -> None:
    even = [path for path, _, _ in defaults(scene(tmp_path, SMALL + "haze: {visibility: 80 m}\n"))]
    assert [path for path in even if path.startswith("haze")] == [
        "haze.falloff",
        "haze.forward",
        "haze.albedo",
    ]
    thin = [path for path, _, _ in defaults(scene(tmp_path, SMALL + "haze: {density: 0.1, falloff: 5}\n"))]
    assert [path for path in thin if path.startswith("haze")] == ["haze.from", "haze.forward", "haze.albedo"]


def test_the_schema_takes_haze_at_the_top_and_in_setups_alone() -> None:
    from jsonschema import Draft202012Validator

    validator = Draft202012Validator(schema())
    camera = {"lens": {"focal": 35}, "at": [0, -5, 1.5], "aim": [0, 0, 1.5]}
    good = {"camera": camera, "haze": {"visibility": "80 m"}, "setups": {"clear": {"haze": None}}}
    assert not list(validator.iter_errors(good))
    assert list(validator.iter_errors({**good, "looks": {"misty": {"haze": {"density": 0.1}}}}))
    assert list(validator.iter_errors({"camera": camera, "haze": {"thickness": 1}}))
