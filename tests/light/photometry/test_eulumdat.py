"""EULUMDAT: symmetries, lamps, luminous areas; and what is wrong with a file, in words with its line.

Source of the fields and symmetries: the field list of the EULUMDAT proposal, A. W. Stockmar, Licht '90.
"""

from __future__ import annotations

from math import radians
from pathlib import Path

import numpy as np
import pytest

from preview.faults import UserError
from preview.light.photometry.opening import POINT, Opening
from preview.light.photometry.read import web_of_file


def lines(
    *,
    symmetry: int = 1,
    planes: int = 4,
    rows: list[list[float]] | None = None,
    area: tuple[float, ...] = (500, 200, 0, 0, 0, 0),
    sets: tuple[tuple[float, float], ...] = ((1, 2000),),
    factor: str = "1.0",
) -> list[str]:
    """A file of gamma 0, 45, 90, with planes evenly round."""
    rows = rows if rows is not None else [[100, 50, 0]]
    head = [
        "maker",
        3,
        symmetry,
        planes,
        360 / planes,
        3,
        45,
        "",
        "name",
        "",
        "",
        "",
        600,
        300,
        50,
        *area,
        100,
        80,
    ]
    lamps = [value for number, lumens in sets for value in (number, "lamp", lumens, "3000", "80", 40)]
    told = [*head, factor, 0, len(sets), *lamps, *[0] * 10]
    told += [place * 360 / planes for place in range(planes)] + [0, 45, 90]
    return [str(value) for value in [*told, *[value for row in rows for value in row]]]


def read(folder: Path, text: list[str]):
    file = folder / "head.ldt"
    file.write_bytes("\r\n".join(text).encode("latin-1"))
    return web_of_file(file)


def wrong(folder: Path, text: list[str]) -> str:
    with pytest.raises(UserError) as caught:
        read(folder, text)
    (fault,) = caught.value.faults
    return str(fault).removeprefix(str(folder / "head.ldt"))


@pytest.mark.parametrize(
    ("symmetry", "planes", "written", "told"),
    [
        (0, 4, 4, {0: 1, 90: 2, 180: 3, 270: 4, 315: 2.5}),
        (1, 4, 1, {0: 1, 77: 1}),
        (2, 4, 3, {0: 1, 90: 2, 180: 3, 270: 2}),
        (3, 4, 3, {270: 1, 0: 2, 90: 3, 180: 2}),
        (3, 8, 5, {270: 1, 315: 2, 0: 3, 45: 4, 90: 5, 135: 4, 180: 3, 225: 2}),
        (4, 4, 2, {0: 1, 90: 2, 180: 1, 270: 2}),
        (4, 8, 3, {0: 1, 45: 2, 90: 3, 135: 2, 180: 1, 225: 2, 270: 3, 315: 2}),
    ],
)
def test_symmetries(symmetry, planes, written, told, tmp_path):
    rows = [[100 * row, 60 * row, 0] for row in range(1, written + 1)]
    web = read(tmp_path, lines(symmetry=symmetry, planes=planes, rows=rows))
    for angle, expected in told.items():
        turn, down = radians(angle), radians(45)
        way = [[np.sin(down) * np.cos(turn)], [np.sin(down) * np.sin(turn)], [np.cos(down)]]
        assert web.intensity(np.array(way))[0] == pytest.approx(60 * expected * 2.0)


def test_lamps_and_factors(tmp_path):
    """Candela per 1000 lm of the first set of lamps; a negative number of them is absolute photometry."""
    assert read(tmp_path, lines()).axial == 200
    assert read(tmp_path, lines(factor="0,5")).axial == 100
    assert read(tmp_path, lines(sets=((-1, 3000),))).axial == 300
    two = read(tmp_path, lines(sets=((2, 4000), (1, 1000))))
    assert (two.axial, two.watts, two.stated_lumens) == (400, 40, 3200)


@pytest.mark.parametrize(
    ("area", "expected"),
    [
        ((1200, 300, 0, 0, 0, 0), Opening("rectangle", (0.3, 1.2, 0.0))),
        ((400, 0, 0, 0, 0, 0), Opening("ellipse", (0.4, 0.4, 0.0))),
        ((400, 0, 100, 100, 100, 100), Opening("cylinder", (0.4, 0.4, 0.1))),
        ((1200, 300, 0, 50, 0, 50), Opening("box", (0.3, 1.2, 0.05))),
        ((0, 0, 0, 0, 0, 0), POINT),
    ],
)
def test_luminous_areas(area, expected, tmp_path):
    """Millimetres; length along C90, from memory; no width: round; heights: luminous sides."""
    assert read(tmp_path, lines(area=area)).opening == expected


@pytest.mark.parametrize(
    ("at", "value", "message"),
    [
        (3, "5", ":3: the symmetry should be a whole number, 0 to 4, not 5"),
        (4, "1e9", ":4: the number of C-planes should be a whole number, 1 to 2000, not 1e+09"),
        (6, "three", ':6: the number of gamma angles should be a number, not "three"'),
        (6, "9", ":52: the file ends in the gamma angles: 9 are announced, 6 are there"),
        (16, "500000", ":21: the luminous area is larger than 30 m; it is given in millimetres"),
        (24, "0", ":24: the conversion factor of intensities should be more than 0, not 0"),
        (26, "0", ":26: the number of standard sets of lamps should be a whole number, 1 to 20, not 0"),
        (29, "0", ":29: the lumens of the lamps should be more than 0, not 0"),
        (44, "270", ":45: the C-planes should rise: 180 comes after 270"),
        (44, "", ':44: the C-planes should be a number, not "nothing"'),
        (47, "45", ":48: the gamma angles should rise: 45 comes after 45"),
        (51, "-5", ":51: no intensity is negative: -5"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(at, value, message, tmp_path):
    text = lines()
    text[at - 1] = value
    assert wrong(tmp_path, text) == message


def test_symmetry_needs_planes(tmp_path):
    assert wrong(tmp_path, lines(symmetry=4, planes=6)) == (
        ":4: symmetry 4 needs a number of C-planes that four divides, not 6"
    )
