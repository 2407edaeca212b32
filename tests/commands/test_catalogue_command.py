"""The picture book: every piece, choice, material and head has its cell, and sheets read."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from PIL import Image

from preview.commands import catalogue as command
from preview.commands.picture_book.cell import SUBJECT, Section, choices, flow
from preview.commands.picture_book.draw import drawn, script_of
from preview.commands.picture_book.pieces import ALIKE, EXAMPLES, PIECES, example, piece_cells
from preview.faults import UserError
from preview.script.models.cast import Figure
from preview.script.read import read_scene
from preview.sheets.answer import blocks
from preview.sheets.contact_sheet import Plan, cell_strips, contact_sheet
from preview.sheets.drawing import COLUMN, MARGIN, WIDTH
from preview.trace.store import Scratch
from preview.trade.catalogue import names, usual

ALL = command.cells()
CAMERA = {"lens": {"focal": 35}, "at": [0, -9, 2], "aim": [0, 0, 1]}


def of(section: Section) -> list[str]:
    return [cell.caption for cell in ALL if cell.section == section]


def test_every_kind_of_piece_has_its_picture() -> None:
    assert [caption for caption in of("pieces") if ":" not in caption] == list(PIECES)


@pytest.mark.parametrize("kind", PIECES)
def test_every_choice_of_a_piece_has_its_picture(kind: str) -> None:
    """Those of its top-level Literals, read from the model's own JSON Schema."""
    schema = PIECES[kind].model_json_schema(by_alias=True)
    for key, field in schema["properties"].items():
        values = list(_enum(field, schema))
        usual_one = field.get("default", values[0] if values else None)
        for value in values:
            shown = [caption for caption in of("pieces") if caption.endswith(f"{key}: {value}}}")]
            if key in ALIKE.get(kind, ()):
                assert shown or kind == "mesh" or value == usual_one
            else:
                assert value == usual_one or any(c.startswith(f"{kind}: ") for c in shown)


def _enum(field: dict[str, Any], schema: dict[str, Any]) -> Iterator[str]:
    yield from (value for value in field.get("enum", ()) if isinstance(value, str))
    for one in field.get("anyOf", ()):
        yield from _enum(one, schema)
    if "$ref" in field:
        target = schema["$defs"][field["$ref"].rpartition("/")[2]]
        yield from _enum(target, schema) if "enum" in target else ()


def test_every_choice_of_a_figure_has_its_picture() -> None:
    captions = of("figures")
    for key, field in Figure.model_json_schema(by_alias=True)["properties"].items():
        for value in field.get("enum", ()):
            assert value == field.get("default") or any(c.endswith(f"{key}: {value}") for c in captions)


def test_every_material_and_every_head_has_its_picture() -> None:
    assert of("materials") == list(names("materials"))
    assert of("heads") == list(usual().heads)


def test_captions_are_told_apart() -> None:
    for section in get_args(Section):
        assert len(set(of(section))) == len(of(section))


BUILT = [cell for cell in ALL if cell.section in ("pieces", "figures")]
ALIKE_ENOUGH = [cell for cell in ALL if cell.section not in ("pieces", "figures")][::12]


@pytest.mark.parametrize("cell", BUILT + ALIKE_ENOUGH, ids=lambda cell: f"{cell.section} {cell.caption}")
def test_every_cell_is_a_sound_script(cell: Any, tmp_path: Path) -> None:
    import yaml

    for name, text in cell.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    path = tmp_path / "cell.yaml"
    path.write_text(yaml.safe_dump(script_of(cell, CAMERA)), encoding="utf-8")
    scene = read_scene(path)
    if cell.section in ("pieces", "figures"):
        named = [name for name, _ in scene.set] + [figure.name for figure in scene.cast]
        assert SUBJECT in named


def test_a_piece_that_nobody_can_guess_asks_for_an_example() -> None:
    from preview.script.models.pieces.piece import Piece

    class Fountain(Piece):
        jets: int

    with pytest.raises(KeyError, match="jets"):
        example("fountain", Fountain)


def test_examples_are_of_pieces_that_there_are() -> None:
    assert set(EXAMPLES) <= set(PIECES)


def test_a_choice_is_told_with_its_keys() -> None:
    found = dict(choices(PIECES["house"]))
    assert found[("roof", "shape")] == "flat"
    assert flow({"roof": {"shape": "hip"}, "at": [0, 1.5]}) == "{roof: {shape: hip}, at: [0, 1.5]}"


@pytest.mark.parametrize(
    ("word", "section"), [("conifer", "pieces"), ("brick", "materials"), ("hmi", "heads")]
)
def test_words_choose(word: str, section: str) -> None:
    found = command.chosen([word])
    assert 0 < len(found) < 60
    assert section in {cell.section for cell in found}
    assert all(word in cell.about for cell in found)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["conifr"], 'nothing in the catalogue answers to "conifr"; did you mean "conifer"?'),
        (["zzzz"], "there are pieces, figures, materials, heads"),
        (["conifer", "hmi"], 'nothing in the catalogue answers to all of "conifer hmi"; try fewer words'),
    ],
)
def test_what_nothing_answers_to_is_said(words: list[str], said: str) -> None:
    with pytest.raises(UserError) as error:
        command.chosen(words)
    assert said in str(error.value)


def grey(plan: Plan) -> np.ndarray:
    return np.full((plan.height, plan.width, 3), 90, np.uint8)


@pytest.mark.parametrize("section", get_args(Section))
def test_no_text_of_a_sheet_lies_on_other_text_or_on_a_picture(section: Section) -> None:
    """Every caption of the book on its sheet: boxes of lines measured against one another, and against the paper."""
    heading = command.HEADINGS[section]
    shown = [
        blocks.Cell(cell.caption, grey(heading.plan), sentences=(cell.note,) if cell.note else ())
        for cell in ALL
        if cell.section == section
    ]
    image = contact_sheet(heading.title, heading.about, shown, heading.plan)
    assert image.width == WIDTH
    pixels = np.asarray(image)
    strips = cell_strips(shown, heading.plan)
    top = image.height - MARGIN - sum(strip.height for strip in strips)
    for strip in strips:
        for line in strip.lines:
            assert line.x >= MARGIN
            assert line.x + line.width <= MARGIN + COLUMN + 1
            assert line.y + line.height <= strip.height
            # Left of the line's own ink there is paper, and nowhere below it a picture's grey.
            y, x = int(top + line.y), int(line.x)
            patch = pixels[y : int(y + line.height), x : int(x + line.width)]
            assert (patch < 200).any(), line.text
            assert not (patch == 90).all(axis=2).any(), line.text
        for one, other in combinations(strip.lines, 2):
            beside = one.x + one.width <= other.x or other.x + other.width <= one.x
            below = one.y + one.height <= other.y or other.y + other.height <= one.y
            assert beside or below, (one.text, other.text)
        top += strip.height


def test_pictures_fill_the_column() -> None:
    for heading in command.HEADINGS.values():
        plan = heading.plan
        assert COLUMN - 24 <= plan.columns * plan.width + (plan.columns - 1) * 24 <= COLUMN


def test_a_sheet_is_drawn_and_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole way, tiny: one piece, one material, one head, each lit and none empty."""
    tiny = {
        section: command.Heading(heading.title, heading.about, Plan(columns=30, aspect=4 / 3))
        for section, heading in command.HEADINGS.items()
    }
    monkeypatch.setattr(command, "HEADINGS", tiny)
    wanted = [
        next(cell for cell in ALL if cell.caption == caption)
        for caption in ("box", "white card", "open-face-1000")
    ]
    monkeypatch.setattr(command, "chosen", lambda words: tuple(wanted))
    store = Scratch()
    book = command.catalogue(["three"], tmp_path / "book", store=store)
    assert book.cells == 3
    assert book.files == ("pieces.three.png", "materials.three.png", "heads.three.png")
    for name in book.files:
        with Image.open(tmp_path / "book" / name) as sheet:
            assert sheet.width == WIDTH
    for cell in wanted:
        picture = drawn(cell, width=24, height=18, store=store)
        assert picture.shape == (18, 24, 3)
        assert picture.max() > 60
        assert picture.std() > 5


def test_a_picture_is_drawn_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from preview.commands.picture_book import draw
    from preview.trace.store import Store

    cell = next(cell for cell in ALL if cell.caption == "open-face-1000")
    store = Store(tmp_path, most_bytes=10**8)
    first = drawn(cell, width=24, height=18, store=store)
    monkeypatch.setattr(draw, "_made", lambda *_: pytest.fail("drawn again"))
    assert (drawn(cell, width=24, height=18, store=store) == first).all()


def test_a_head_on_the_wall_gives_the_lux_that_its_caption_says() -> None:
    """Its middle is the axial candela over the distance squared, less for a panel's size: as `preview heads` says it."""
    from preview.commands.picture_book.heads import DISTANCE

    cell = next(cell for cell in ALL if cell.caption == "tungsten-fresnel-1000")
    row = usual().heads["tungsten-fresnel-1000"]
    spot = row.output().spot
    assert spot is not None
    told = float(cell.note.partition("; ")[2].partition(" |")[0].replace("\u00a0", ""))
    assert told == pytest.approx(spot.candela / DISTANCE**2, rel=0.05)


def test_pieces_are_made_from_the_models_each_time() -> None:
    assert tuple(piece_cells()) == tuple(cell for cell in ALL if cell.section == "pieces")
