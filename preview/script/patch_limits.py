"""Patch limits: what a setup and a look may change, and what is wrong with one that changes more or slips in a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from pydantic import BaseModel

from preview.script.cheats import faults_of_change
from preview.script.document import Entry, Keys, Node, child
from preview.script.models.camera import Camera, Lens
from preview.script.models.fixtures import Fixture
from preview.script.models.scene_script import SceneScript
from preview.script.models.through import Through
from preview.script.quantities import shown
from preview.script.words import did_you_mean, keys_of

if TYPE_CHECKING:
    from preview.script.patches import Patch

GROUPS = {"camera": "{lens: {focal: 85 mm}}", "haze": "{visibility: 80 m}"}
"""Sections that are one group of keys, each with an example; the others are patched by name."""

LOOK_CAMERA = ("iso", "lens", "shutter", "balance", "tint", "latitude")
LOOK_FIXTURE = ("level", "kelvin", "mix", "through")
LOOK_THROUGH = ("gel", "shift", "scrim")

_ARITHMETIC = "a look is only arithmetic: "
_ONE_NIGHT = (
    "setups and looks are of one place and one night, the script's own; another night is another script"
)

Faults = list[tuple[Keys, str]]


def is_clear(haze: object) -> bool:
    """Whether what a setup or look says of the haze clears the air: nothing, `off`, `none` or `no`."""
    return haze is None or haze is False or (isinstance(haze, str) and haze.lower() in ("off", "none", "no"))


def faults_of_sections(patch: Patch) -> Faults:
    """What is wrong with the sections that a setup or look writes."""
    allowed = ("camera", "haze", "cast", "fixtures") if patch.kind == "setup" else ("camera", "fixtures")
    faults: Faults = []
    for section, entry in entries(patch.node):
        keys = (*patch.keys, section)
        if section not in allowed:
            if section in ("place", "night"):
                faults.append((keys, _ONE_NIGHT))
            elif why := _misplaced(section, allowed, patch.kind):
                faults.append((keys, why))
            elif patch.kind == "look":
                faults.append((keys, _ARITHMETIC + "it changes camera and fixtures; put the rest in a setup"))
            else:
                faults.append((keys, "a setup changes camera, haze, cast and fixtures only"))
        elif section == "haze" and is_clear(entry.node.value):
            continue
        elif entry.node.value is not None and not isinstance(entry.node.value, dict):
            example = GROUPS.get(section, "{NAME: {…}}")
            faults.append((keys, f"a group of keys is needed, such as {section}: {example}"))
        elif section not in GROUPS:
            for name, change in entries(entry.node):
                if change.node.value is not None and not isinstance(change.node.value, dict):
                    what = shown(change.node.value)
                    faults.append(
                        ((*keys, name), f"a group of keys is needed, such as {{level: 60 %}}, not {what}")
                    )
                    continue
                if child(change.node, "name") is not None:
                    faults.append(((*keys, name, "name"), f"a {patch.kind} cannot change a name"))
                if patch.kind == "setup":
                    faults += faults_of_change(change.node, (*keys, name))
    return faults


def more_than_arithmetic(patch: Patch) -> Faults:
    """The keys of a look that would need a trace, and those that there are not."""
    faults: Faults = []
    camera, fixtures = child(patch.node, "camera"), child(patch.node, "fixtures")
    rest = "put the rest in a setup"
    if camera is not None:
        may = f"{_ARITHMETIC}of the camera it may change iso, lens.stop, shutter, balance, tint and latitude; {rest}"
        for key, entry in entries(camera.node):
            if key not in LOOK_CAMERA:
                faults.append(((*patch.keys, "camera", key), _slip(key, LOOK_CAMERA, Camera) or may))
            elif key == "lens":
                faults += [
                    ((*patch.keys, "camera", "lens", inner), _slip(inner, ("stop",), Lens) or may)
                    for inner, _ in entries(entry.node)
                    if inner != "stop"
                ]
    for name, change in entries(fixtures.node) if fixtures is not None else ():
        keys = (*patch.keys, "fixtures", name)
        may = f"{_ARITHMETIC}of a fixture it may change level, kelvin, mix, and gel, shift or scrim in through; {rest}"
        faults += [
            ((*keys, key), _slip(key, LOOK_FIXTURE, Fixture) or may)
            for key, _ in entries(change.node)
            if key not in (*LOOK_FIXTURE, "name")
        ]
        through = child(change.node, "through")
        for place, thing in enumerate(items_of(through.node)) if through is not None else ():
            faults += [
                ((*keys, "through", place, key), _slip(key, LOOK_THROUGH, Through) or may)
                for key, _ in entries(thing.node)
                if key not in LOOK_THROUGH
            ]
    return faults


def _slip(key: str, allowed: Sequence[str], model: type[BaseModel]) -> str | None:
    """What is said of a key that is near one which a look may change, and is none itself."""
    near = None if key in keys_of(model) else did_you_mean(key, allowed)
    return None if near is None else f'no such key; did you mean "{near}"?'


def _misplaced(section: str, allowed: Sequence[str], kind: str) -> str | None:
    """What is said of a section that is mistyped, or is a key of the camera."""
    of_camera = LOOK_CAMERA if kind == "look" else keys_of(Camera)
    if section in of_camera:
        return f"it is the camera's; write camera: {{{section}: …}}"
    if section in keys_of(SceneScript):
        return None
    near = did_you_mean(section, (*allowed, *of_camera))
    if near is None:
        return None
    meant = f'"{near}"' if near in allowed else f"camera: {{{near}: …}}"
    return f"no such key; did you mean {meant}?"


def entries(node: Node) -> Iterator[tuple[str, Entry]]:
    """The keys of a group with what is written after each; none of anything else."""
    value: Mapping[str, Entry] = node.value if isinstance(node.value, dict) else {}
    yield from value.items()


def items_of(node: Node) -> list[Entry]:
    """What a list holds; nothing of anything else."""
    return node.value if isinstance(node.value, list) else []
