"""The report's numbers and words."""

from __future__ import annotations

import json
from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from preview.camera.stops_map import legend_entries
from preview.script.models.camera import Latitude
from preview.sheets import drawing
from preview.sheets.answer.words import percent
from preview.sheets.frame_sheet import band_shares, band_words, frame_sheet
from preview.sheets.report import (
    FixtureReport,
    FrameReport,
    MarkReading,
    Noise,
    Share,
    exposure_line,
    mark_words,
    noise_words,
    reading,
    sensor_words,
    setup_words,
    stops_words,
    summary,
    to_json,
    tones,
)

HOLDS = Latitude()


def quarters() -> np.ndarray:
    """A frame: left half without light, upper right 8 stops over, lower right 1 stop under."""
    stops = np.full((100, 200), -np.inf, np.float32)
    stops[:50, 100:], stops[50:, 100:] = 8.0, -1.0
    return stops


REPORT = FrameReport(
    "The gate", "main", "colder", "draft", "traced", False, 3, 35, 2.0, 1600, 180, 24, 4600, 5, 7, 6, 200, 100, 32.3, 3.0,
    (
        MarkReading("Mara.face", 14.2, 1.32, -1.2, -2.6, 13.1, 1.1,
                    (Share("porch [1]", 2.2, 0.2, 0.155), Share("moon key", 12.0, 1.12, 0.845))),
        MarkReading("gate", 0.0, 0.0, None, None, 0.0, 0.0, ()),
    ),
    (FixtureReport("moon key", 0.6, 0.31, 5600, 14.3, "house", 0.8, 0.62),
     FixtureReport("sky", 1.0, 1.0, 9000, None, None, None, 0.0004)),
    Noise(0.5, 0.31, 0.02),
    tones(quarters(), HOLDS),
    ("frame.png", "stops.png"),
)  # fmt: skip


def printed(report: FrameReport) -> str:
    out = StringIO()
    Console(file=out, width=100).print(summary(report))
    return out.getvalue()


def test_what_the_sensor_holds() -> None:
    found = tones(quarters(), HOLDS)
    assert (found.below_share, found.above_share, found.middle_stops) == (0.5, 0.25, -1.0)
    assert found.brightest.words == "8.0 stops over grey, clipped, upper right"
    assert found.darkest.stops is None
    assert found.darkest.words == "no light, in many places"


def test_a_small_bright_thing_is_the_brightest() -> None:
    # A candle in frame clips far above white while its surroundings stay dark.
    stops = np.full((200, 300), -6.0, np.float32)
    stops[100:108, 20:28] = 11.0
    found = tones(stops, HOLDS)
    assert found.brightest.words == "11.0 stops over grey, clipped, left"
    assert found.middle_stops == -6.0


def test_one_pixel_is_enough_to_be_the_brightest() -> None:
    stops = np.full((200, 300), -6.0, np.float32)
    stops[10, 280] = 9.0
    assert tones(stops, HOLDS).brightest.words == "9.0 stops over grey, clipped, upper right"


def test_a_look_and_a_draft_are_named() -> None:
    assert "main, look colder, draft" in printed(REPORT)


def test_what_is_not_as_usual_is_named() -> None:
    assert setup_words(replace(REPORT, quality="look", look=None)) == "main"
    assert setup_words(replace(REPORT, quality="look", engine="raster")) == "main, look colder, raster"
    assert "for composition, not for levels" in noise_words(replace(REPORT, engine="raster"))


def test_how_far_chance_goes_is_told() -> None:
    assert noise_words(REPORT) == "Computed to 0.31 stop in 95 % of the frame (asked: 0.5), coarser in 2.0 %."
    within = replace(REPORT, noise=Noise(0.35, 0.02, 0.0))
    assert noise_words(within) == "Computed to 0.02 stop in 95 % of the frame (asked: 0.35)."


def test_little_is_not_told_as_nothing() -> None:
    exact = replace(REPORT, noise=Noise(0.35, 0.002, 0.0))
    assert noise_words(exact) == "Computed to under 0.01 stop in 95 % of the frame (asked: 0.35)."
    stops = np.zeros((100, 200), np.float32)
    stops[3, 4], stops[5, :100] = -8.0, 7.0
    assert sensor_words(replace(REPORT, tones=tones(stops, HOLDS)))[0] == (
        "Less than 0.1 % of the frame is under the noise floor (7 stops under), 0.5 % clips (6 stops over)."
    )


def test_names_stay_on_a_narrow_terminal() -> None:
    out = StringIO()
    Console(file=out, width=45).print(summary(REPORT, width=45))
    assert "moon key" in out.getvalue()
    assert "Mara.face" in out.getvalue()


def test_sentences_for_a_gaffer() -> None:
    assert sensor_words(REPORT)[0] == (
        "50 % of the frame is under the noise floor (7 stops under), 25 % clips (6 stops over)."
    )
    calm = replace(REPORT, tones=tones(np.zeros((10, 10), np.float32), HOLDS))
    assert sensor_words(calm)[:2] == [
        "Nothing is under the noise floor, nothing clips.",
        "The middle tone of the frame is at grey: half of it is darker.",
    ]


@pytest.mark.parametrize(
    ("share", "words"), [(0, "0"), (0.0004, "< 0.1 %"), (0.004, "0.4 %"), (0.62, "62 %"), (1, "100 %")]
)
def test_per_cents(share: float, words: str) -> None:
    assert percent(share) == words


@pytest.mark.parametrize(
    ("lux", "words"),
    [(0, "0"), (0.002134, "0.00213"), (0.83, "0.830"), (14.21, "14.2"), (999.4, "999"), (2140, "2140")],
)
def test_readings_have_three_figures(lux: float, words: str) -> None:
    assert reading(lux) == words


@pytest.mark.parametrize(
    ("stops", "words"),
    [(None, "no light"), (0.01, "at grey"), (1.0, "1.0 stop over grey"), (-2.34, "2.3 stops under grey")],
)
def test_stops_in_words(stops: float | None, words: str) -> None:
    assert stops_words(stops) == words


def test_a_mark_names_what_gives_most() -> None:
    assert mark_words(REPORT.marks[0]) == "moon key 84 %, porch [1] 16 %"
    assert mark_words(REPORT.marks[1]) == "no light"


def test_the_summary() -> None:
    text = printed(REPORT)
    assert exposure_line(REPORT) == "35 mm, T2, ISO 1600, 180° at 24 fps, 4600 K tint +5"
    assert exposure_line(REPORT) in text
    assert "Grey wants 32.3 lx (3.00 fc) incident." in text
    assert "porch [1]" in text
    (mark,) = [line.split() for line in text.splitlines() if "Mara.face" in line]
    assert mark[:7] == ["Mara.face", "14.2", "1.32", "-1.2", "-2.6", "7.7", "%"]
    (fixture,) = [line.split() for line in text.splitlines() if line.startswith("  moon key")]
    assert fixture == ["moon", "key", "60", "%", "5600", "14.3", "80", "%", "62", "%"]


def test_json_round_trip() -> None:
    written = json.dumps(to_json(REPORT), allow_nan=False)
    read = json.loads(written)
    assert read["marks"][0]["fixtures"][1] == {
        "fixture": "moon key",
        "lux": 12.0,
        "footcandles": 1.12,
        "share": 0.845,
    }
    assert read["marks"][1]["stops"] is None
    assert read["tones"]["above_share"] == 0.25
    assert json.dumps(read) == written


def test_every_band_has_words_and_its_share() -> None:
    entries = legend_entries(HOLDS)
    shares = band_shares(quarters(), entries)
    assert sum(shares) == pytest.approx(1.0)
    found = {band_words(entry): share for entry, share in zip(entries, shares, strict=True) if share}
    assert found == {"below −7": 0.5, "above +6": 0.25, "−1.5 to −0.5": 0.25}


def test_the_sheet_shows_the_map_and_every_colour() -> None:
    page = np.asarray(frame_sheet(quarters(), HOLDS, REPORT))
    assert page.shape[1] == drawing.WIDTH
    colours = {tuple(c) for c in np.unique(page.reshape(-1, 3), axis=0).tolist()}
    assert {entry.rgb for entry in legend_entries(HOLDS)} <= colours
    rows = np.flatnonzero((page[:, drawing.MARGIN + 20] == 0).all(axis=1))
    top = rows[0]
    assert page[top + 100, drawing.WIDTH - drawing.MARGIN - 20].tolist() == [255, 255, 255]
    assert page[top + 700, drawing.MARGIN + 20].tolist() == [0, 0, 0]
