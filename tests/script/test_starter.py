"""The starter scene and the schema, checked with each other and by a JSON Schema library.

Source of the dialect: JSON Schema, draft 2020-12.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from preview.script.read import read_script
from preview.script.schema import schema
from preview.script.starter import starter
from tests.script.test_read import GATE


@pytest.fixture(scope="module")
def validator() -> Any:
    whole = schema()
    jsonschema.Draft202012Validator.check_schema(whole)
    return jsonschema.Draft202012Validator(whole)


def errors(validator: Any, text: str) -> list[str]:
    return [error.json_path for error in validator.iter_errors(yaml.safe_load(text))]


@pytest.mark.parametrize("title", ["First night", 'Say: "no" # not', "café 1:30", "\\n"])
def test_the_starter_is_a_scene(tmp_path: Path, title: str) -> None:
    file = tmp_path / "first.yaml"
    file.write_text(starter(title), encoding="utf-8")
    script = read_script(file)
    for setup in script.setups:
        for look in (None, *script.looks):
            made = script.scene(setup=setup, look=look)
            assert made.title == title
    assert script.setups == ("main", "tight")
    assert script.looks == ("colder",)
    kinds = [
        kind for fixture in made.fixtures for kind in ("head", "moon", "practical") if getattr(fixture, kind)
    ]
    assert set(kinds) == {"moon", "head", "practical"}


@pytest.mark.parametrize("text", [starter("First night"), GATE])
def test_the_schema_takes_what_the_program_takes(validator: Any, text: str) -> None:
    assert errors(validator, text) == []


@pytest.mark.parametrize(
    ("found", "instead", "path"),
    [
        ("lens:", "lense:", "$.camera"),
        ("ground:", "grounds:", "$.set[0]"),
        ("hmi-fresnel-2500", "hmi-fresnel-2501", "$.fixtures[0].head"),
        ("half-grid", "haf-grid", "$.fixtures[0].through[1].cloth"),
        ("{material: grass}", "{material: gras}", "$.set[0].ground"),
        ("level: -1 stop", "levl: -1 stop", "$.setups.reverse.fixtures['moon key']"),
        ("{balance: 3400 K, lens: {stop: 4}}", "{balance: 3400 K, at: [1, 2]}", "$.looks.colder.camera"),
        ("title: The visitor at the gate", "titel: x", "$"),
        ("watts: 60, ", "", None),
        ("at: house.porch.lamp", "", "$.fixtures[1].practical"),
    ],
)
def test_the_schema_refuses_what_the_program_refuses(
    validator: Any, found: str, instead: str, path: str | None
) -> None:
    assert found in GATE
    got = errors(validator, GATE.replace(found, instead))
    if path is None:
        assert got == []
    else:
        assert any(place.startswith(path) for place in got)


def test_the_schema_tells_what_a_field_is_for() -> None:
    opening = schema()["$defs"]["Window"]["properties"]["sill"]
    assert opening["description"].startswith("Height of the lower edge above the floor inside.")
    assert "A length" in opening["description"]
