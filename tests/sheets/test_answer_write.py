"""An answer's files: all of them or none, the sheets as many as needed, the data as it is."""

from __future__ import annotations

import json
from math import nan
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from preview.faults import UserError
from preview.sheets.answer.blocks import Answer, Cell, Pictures, Table
from preview.sheets.answer.write import write_answer
from preview.sheets.drawing import WIDTH

GREY = np.full((27, 48, 3), 90, np.uint8)


def answer(rows: int = 2, **data: Any) -> Answer:
    table = Table("Table", ("a", "b"), tuple((str(n), "1.5") for n in range(rows)), ("left", "decimal"))
    return Answer("moon", "Moon directions", "Setup wide", (Pictures((Cell("one", GREY),), 4), table), data)


def test_sheet_and_data_are_written_and_a_page_where_asked(tmp_path: Path) -> None:
    assert write_answer(answer(moon_lux=0.25), tmp_path / "out") == ("moon.png", "moon.json")
    assert json.loads((tmp_path / "out" / "moon.json").read_text(encoding="utf-8")) == {"moon_lux": 0.25}
    with Image.open(tmp_path / "out" / "moon.png") as sheet:
        assert sheet.width == WIDTH
    assert write_answer(answer(), tmp_path / "out", page=True) == ("moon.png", "moon.json", "moon.html")
    assert "<h1>Moon directions</h1>" in (tmp_path / "out" / "moon.html").read_text(encoding="utf-8")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "moon.html",
        "moon.json",
        "moon.png",
    ]


def test_a_long_answer_has_numbered_sheets_and_leaves_none_of_an_earlier_one(tmp_path: Path) -> None:
    (tmp_path / "moon-set.png").write_bytes(b"the user's own")
    (tmp_path / "moon-1.png").write_bytes(b"the user's own")
    assert write_answer(answer(330), tmp_path) == ("moon.png", "moon-2.png", "moon-3.png", "moon.json")
    assert write_answer(answer(200), tmp_path) == ("moon.png", "moon-2.png", "moon.json")
    assert not (tmp_path / "moon-3.png").exists()
    write_answer(answer(), tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "moon-1.png",
        "moon-set.png",
        "moon.json",
        "moon.png",
    ]


def test_what_cannot_be_said_in_json_writes_nothing(tmp_path: Path) -> None:
    write_answer(answer(), tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(ValueError, match="JSON"):
        write_answer(answer(300, lux=nan), tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(UserError, match="a file stands where a folder should be"):
        write_answer(answer(), tmp_path / "file")
