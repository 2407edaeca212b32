"""What the program filled in: every value of a scene that its file leaves to a default, in words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from preview.light.lamps import is_settable, practical_kelvin, practical_lamp, practical_lumens
from preview.script import written
from preview.script.document import Keys, path_text
from preview.script.fields import Place
from preview.script.models.air import Haze
from preview.script.models.camera import Camera
from preview.script.models.cast import Figure
from preview.script.models.fixtures import Fixture
from preview.script.models.heads import USUAL_APERTURE, Head
from preview.script.models.pieces import PIECES
from preview.script.models.pieces.growth import Planted
from preview.script.models.practicals import Practical
from preview.script.models.sky import USUAL_SKY_LUX, Moon, Sky
from preview.script.models.through import Through
from preview.script.notes import notes_of
from preview.script.scene import Scene
from preview.script.words import field_type
from preview.trade.catalogue import Catalogue, LampRow, spectrum
from preview.trade.head_row import HeadRow

Row = tuple[str, str, str]

_SAID_IN_NOTE = re.compile(r"[Dd]efault:\s*(.+?)\.?$", re.DOTALL)


def defaults(scene: Scene) -> list[Row]:
    """Path, value as a person would write it, and why, of every value that the file does not give."""
    rows: list[Row] = []
    for place, (name, piece) in enumerate(scene.set):
        keys: Keys = ("set", place, _kind(piece))
        if piece.name is None:
            rows.append((path_text((*keys, "name")), name, "the kind, numbered where it repeats"))
        rows += _of_model(piece, keys, scene.catalogue)
    for section, parts in (("cast", scene.cast), ("fixtures", scene.fixtures), ("marks", scene.marks)):
        for place, part in enumerate(parts):
            rows += _of_model(part, (section, place), scene.catalogue)
    rows += _of_model(scene.camera, ("camera",), scene.catalogue)
    own: tuple[tuple[str, BaseModel | None], ...] = (
        ("haze", scene.haze),
        ("place", scene.place),
        ("night", scene.night),
    )
    for section, group in own:
        if group is not None:
            rows += _of_model(group, (section,), scene.catalogue)
    return rows


def _kind(piece: BaseModel) -> str:
    return next(kind for kind, model in PIECES.items() if type(piece) is model)


def _of_model(
    model: BaseModel, keys: Keys, catalogue: Catalogue, *, all_of_it: bool = False
) -> Iterator[Row]:
    """The defaults of a part; `all_of_it` where the part itself is one."""
    notes = notes_of(type(model))
    derived = _derived(model, catalogue)
    for name, field in type(model).model_fields.items():
        value, path = getattr(model, name), (*keys, field.alias or name)
        given = name in model.model_fields_set and not all_of_it
        if isinstance(value, BaseModel) and not isinstance(value, Place):
            yield from _of_model(value, path, catalogue, all_of_it=not given)
        elif isinstance(value, list) and value and isinstance(value[0], BaseModel):
            for place, item in enumerate(value):
                yield from _of_model(item, (*path, place), catalogue)
        elif name in derived:
            yield path_text(path), *derived[name]
        elif not given and not _idle(model, name):
            yield from _row(path, value, field, type(model), notes.get(name, ""))


def _row(path: Keys, value: Any, field: FieldInfo, model: type[BaseModel], note: str) -> Iterator[Row]:
    if value is None or value == []:
        said = _SAID_IN_NOTE.search(note)
        if said is not None:
            yield path_text(path), " ".join(said.group(1).split()), "follows from the rest"
        return
    # What holds the unit is the field, or each of the values that it lists.
    key = str(path[-1])
    metadata = [*field_type(model, (key,))[1], *field_type(model, (key, 0))[1]]
    yield path_text(path), written.value(value, metadata), " ".join(note.split()) or "the usual"


def _idle(model: BaseModel, name: str) -> bool:
    """Whether a field plays no part, because of another."""
    if isinstance(model, Through):
        return name != "away" or model.frame is None
    if isinstance(model, Planted):
        on_path = model.along is not None
        idle = {
            "spacing": model.rows is None and (model.at is not None or model.count is not None),
            "scatter": model.rows is None and not (on_path and model.width == 0.0),
            "width": not on_path,
            "count": True,
        }
        return idle.get(name, False)
    if isinstance(model, Figure):
        idle = {
            "seat": model.pose != "sit",
            "hood": model.wears != "raincoat",
            "shirt": model.wears not in ("jacket", "coat"),
        }
        return idle.get(name, False)
    if isinstance(model, Head):
        own_colour = name == "kelvin" and not is_settable(model.lamp)
        return own_colour or (name == "shape" and model.photometry is not None)
    if isinstance(model, Haze):
        return name == "from_" and model.falloff is None
    if isinstance(model, Sky):
        return name == "lux" and model.brightness is not None
    if isinstance(model, Fixture):
        # What a head of the catalogue can be set to is derived from its row.
        return name in ("flood", "lens", "turn", "added") or (name == "stand" and model.head is None)
    return False


def _derived(model: BaseModel, catalogue: Catalogue) -> dict[str, tuple[str, str]]:
    """Values that follow from others where they are not given: words and why, by field."""
    if isinstance(model, Camera) and model.focus is None:
        return {"focus": (written.place(model.aim), "what the camera aims at")}
    if isinstance(model, Planted) and model.rows is not None and model.from_ is None:
        return {"from_": ("[0, 0]", "the first tree of the first row")}
    if isinstance(model, Head):
        return _of_head(model)
    if isinstance(model, Practical):
        return _of_practical(model, catalogue.lamps[model.kind])
    if isinstance(model, Fixture) and isinstance(model.head, str):
        return _of_setting(model, catalogue.heads[model.head])
    if isinstance(model, Moon):
        return _of_moon(model)
    if isinstance(model, Sky) and model.lux is None and model.brightness is None:
        return {"lux": (written.quantity(USUAL_SKY_LUX, "lux"), "a clear night without a moon")}
    return {}


def _of_moon(moon: Moon) -> dict[str, tuple[str, str]]:
    rows: dict[str, tuple[str, str]] = {}
    if moon.real:
        kinds = {"azimuth": "angle", "elevation": "angle", "lux": "lux", "size": "angle"}
        rows |= {
            name: (written.quantity(float(f"{getattr(moon, name):.4g}"), kind), "the true moon's")
            for name, kind in kinds.items()
            if name not in moon.model_fields_set
        }
    if moon.visible is None:
        size = "within twice the real moon's size" if moon.is_visible else "not of the real moon's size"
        rows["visible"] = ("yes" if moon.is_visible else "no", size)
    return rows


def _of_head(head: Head) -> dict[str, tuple[str, str]]:
    rows: dict[str, tuple[str, str]] = {}
    if head.lamp is not None and "kelvin" not in head.model_fields_set and is_settable(head.lamp):
        rows["kelvin"] = (written.quantity(spectrum(head.lamp).kelvin, "kelvin"), f"usual of {head.lamp}")
    if head.photometry is not None:
        return rows
    if head.field is None and head.field_angle is not None:
        rows["field"] = (written.quantity(head.field_angle, "angle"), "the usual field of such a beam")
    if head.shape == "beam" and head.aperture is None:
        rows["aperture"] = (written.quantity(USUAL_APERTURE, "length"), "a middling lens")
    if head.shape == "panel" and head.beam is None:
        rows["beam"] = ("even (Lambertian)", "a flat soft source")
    return rows


def _of_setting(fixture: Fixture, row: HeadRow) -> dict[str, tuple[str, str]]:
    rows: dict[str, tuple[str, str]] = {}
    if fixture.lens is None and row.lenses:
        rows["lens"] = (row.usual, "the usual one of its set")
    focuses = bool(row.outputs) and row.output(fixture.lens).spot is not None
    if focuses and "flood" not in fixture.model_fields_set:
        rows["flood"] = (written.quantity(fixture.flood, "level"), "full flood")
    if fixture.kelvin is None and row.kelvins is not None and fixture.mix is None:
        rows["kelvin"] = (written.quantity(row.kelvin, "kelvin"), "what the head is usually set to")
    return rows


def _of_practical(practical: Practical, row: LampRow) -> dict[str, tuple[str, str]]:
    why = f"a usual {practical.kind.replace('_', ' ')}"
    rows: dict[str, tuple[str, str]] = {}
    lamp = practical_lamp(practical, row)
    if practical.lamp is None and lamp is not None:
        rows["lamp"] = (lamp, why)
    if practical.kelvin is None and is_settable(lamp):
        rows["kelvin"] = (written.quantity(practical_kelvin(practical, row), "kelvin"), why)
    if practical.size is None and row.size_m is not None:
        rows["size"] = (written.quantity(row.size_m, "length"), why)
    if practical.lumens is None and practical.luminance is None:
        lumens = practical_lumens(practical, row)
        if lumens is None and row.luminance is not None:
            rows["luminance"] = (f"{written.figures(row.luminance)} cd/m2", why)
        elif lumens is not None:
            made = why if lamp == row.lamp else f"{lamp}, typically"
            rows["lumens"] = (
                f"{written.figures(lumens)} lm",
                why if practical.watts is None else f"{made} of this many watts",
            )
            if practical.watts is None and row.watts is not None:
                rows["watts"] = (written.figures(row.watts), why)
    return rows
