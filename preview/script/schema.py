"""The JSON Schema of a scene file, so that editors complete and check scenes as they are typed."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema

from preview.script.cheats import ADDED, CHEAT
from preview.script.models import air, camera, cast, fixtures, heads, night, pieces, practicals, sky, through
from preview.script.models.scene_script import SceneScript
from preview.script.notes import notes_of
from preview.script.patch_limits import LOOK_CAMERA, LOOK_FIXTURE
from preview.script.sense_of_set import MATERIALS
from preview.trade import catalogue

DIALECT = GenerateJsonSchema.schema_dialect

NAMES_OF: dict[str, catalogue.Kind] = {"format": "formats", "head": "heads", "gel": "gels", "cloth": "cloths"}
"""Fields that hold the name of something in the catalogue, beside materials."""
OWN = ("heads", "gels", "cloths")
"""Kinds to which a script may add its own, so that a name need not be the program's."""

_NAMES = {"type": "string", "minLength": 1}


def schema() -> dict[str, Any]:
    """The schema of a whole script; setups and looks may hold parts of camera, haze, cast and fixtures."""
    whole = SceneScript.model_json_schema(by_alias=True)
    definitions: dict[str, Any] = whole["$defs"]
    for model in _models():
        if model.__name__ in definitions:
            _describe(definitions[model.__name__], model)
    _describe(whole, SceneScript)
    _list_names(definitions)
    _without_defaults(whole)
    item = definitions["SetItem"]
    item["description"] = "One piece of the set, by its kind."
    item |= {"minProperties": 1, "maxProperties": 1}
    partial = _partial(definitions)
    definitions |= partial
    for part in ("Figure", "Fixture"):
        for key in (CHEAT, ADDED):
            definitions[part]["properties"].pop(key, None)
    whole["properties"]["setups"] = _patches(
        "Other camera positions, and what moves for them.",
        {
            "camera": {"$ref": "#/$defs/CameraPatch"},
            "haze": {"anyOf": [{"$ref": "#/$defs/HazePatch"}, {"enum": [None, False, "off", "none", "no"]}]},
            "cast": _by_name("FigurePatch"),
            "fixtures": _by_name("FixturePatch"),
        },
    )
    whole["properties"]["looks"] = _patches(
        "Other levels, colours and exposures of the same light.",
        {
            "camera": _only(partial["CameraPatch"], LOOK_CAMERA),
            "fixtures": {
                "type": "object",
                "additionalProperties": _only(partial["FixturePatch"], LOOK_FIXTURE),
            },
        },
    )
    without_own = {"if": {"not": {"required": ["catalogue"]}}, "then": _program_names()}
    return {"$schema": DIALECT, **whole, **without_own, "title": "A scene for preview"}


def _program_names() -> dict[str, Any]:
    """What fixtures choose from in a script without a catalogue of its own: the program's names, or a description."""

    def one_of(kind: catalogue.Kind) -> dict[str, Any]:
        return {"anyOf": [{"enum": list(catalogue.names(kind))}, {"type": ["object", "null"]}]}

    through_ = {"properties": {"gel": one_of("gels"), "cloth": one_of("cloths")}}
    fixture = {"properties": {"head": one_of("heads"), "through": {"items": through_}}}
    return {"properties": {"fixtures": {"items": fixture}}}


def _models() -> list[type[BaseModel]]:
    modules = (air, camera, cast, fixtures, heads, night, practicals, sky, through, *pieces.FAMILIES)
    found = dict.fromkeys(
        thing for module in modules for thing in vars(module).values() if isinstance(thing, type)
    )
    return [thing for thing in found if isinstance(thing, type) and issubclass(thing, BaseModel)]


def _describe(definition: dict[str, Any], model: type[BaseModel]) -> None:
    notes = notes_of(model)
    for name, field in model.model_fields.items():
        if name in notes and (field.alias or name) in definition["properties"]:
            shown = definition["properties"][field.alias or name]
            shown["description"] = " ".join(
                [" ".join(notes[name].split()), shown.get("description", "")]
            ).strip()


def _list_names(definitions: dict[str, Any]) -> None:
    """Writes the names of the catalogue into the fields that hold one."""
    for definition in definitions.values():
        for key, shown in definition.get("properties", {}).items():
            kind: catalogue.Kind | None = "materials" if key in MATERIALS else NAMES_OF.get(key)
            if kind is None:
                continue
            known = list(catalogue.names(kind))
            for text in (shown, *shown.get("anyOf", ())):
                if text.get("type") != "string":
                    continue
                if kind in OWN:
                    text["anyOf"] = [{"enum": known}, {"type": "string"}]
                else:
                    text["enum"] = known


def _without_defaults(node: Any) -> None:
    """Takes the defaults out: they are in the units used inside, such as radians."""
    if isinstance(node, dict):
        node.pop("default", None)
        for part in node.values():
            _without_defaults(part)
    elif isinstance(node, list):
        for part in node:
            _without_defaults(part)


def _partial(definitions: dict[str, Any]) -> dict[str, Any]:
    """Copies of the definitions in which nothing is required and anything may be put back to its default."""
    names = set(definitions)
    return {f"{name}Patch": _loosened(deepcopy(definitions[name]), names) for name in names}


def _loosened(node: Any, names: set[str]) -> Any:
    if isinstance(node, list):
        return [_loosened(part, names) for part in node]
    if not isinstance(node, dict):
        return node
    loose = {key: _loosened(part, names) for key, part in node.items() if key != "required"}
    reference = loose.get("$ref", "")
    if reference.removeprefix("#/$defs/") in names:
        loose["$ref"] = f"{reference}Patch"
    if "properties" in loose:
        loose["properties"] = {
            key: {"anyOf": [part, {"type": "null"}]} for key, part in loose["properties"].items()
        }
    return loose


def _only(definition: dict[str, Any], keys: tuple[str, ...]) -> dict[str, Any]:
    return {**definition, "properties": {key: definition["properties"][key] for key in keys}}


def _by_name(definition: str) -> dict[str, Any]:
    return {"type": "object", "additionalProperties": {"$ref": f"#/$defs/{definition}"}}


def _patches(description: str, properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": ["object", "null"],
        "description": description,
        "propertyNames": _NAMES,
        "additionalProperties": {
            "type": ["object", "null"],
            "properties": properties,
            "additionalProperties": False,
        },
    }
