"""What is said of pieces and figures in the dark. The thresholds are common practice, no source."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from preview.commands.frame import FrameOptions, frame
from preview.script.models.camera import Latitude
from preview.script.read import read_scene
from preview.sheets.what_reads import MOST, pieces_in_frame, reading_words
from preview.trace.store import Scratch

NAMES = ("tree line.leaves", "tree line.wood", "Mara.skin", "Mara.top", "house.front", "yard")


def said(**stops: float) -> list[str]:
    """Of a frame of columns, each a part as wide as the next: the stops of trees, Mara, house, yard and sky."""
    part = np.repeat(np.array([0, 1, 2, 3, 4, 5, -1, -2], np.int32), 10)[None].repeat(60, axis=0)
    given = {"trees": -1.0, "Mara": 0.0, "house": -1.0, "yard": -2.0, "sky": -1.0, **stops}
    row = np.repeat(
        [given[name] for name in ("trees", "trees", "Mara", "Mara", "house", "yard", "sky")] + [9.0], 10
    )
    frame = row[None].repeat(60, axis=0).astype(np.float32)
    return reading_words(pieces_in_frame(frame, part, NAMES, {"Mara"}, Latitude()))


def test_of_what_reads_nothing_is_said_nor_of_a_lamp() -> None:
    assert said() == []


def test_a_dark_tree_line() -> None:
    assert said(trees=-6.1, Mara=-3.5, house=-3.0) == ["tree line is 6 stops under: nothing there will read."]


def test_cast_come_first() -> None:
    assert said(Mara=-4.0, house=-4.2, trees=-4.0, yard=-3.5, sky=-3.5) == [
        "Mara only just reads: 4 stops under where it is brightest.",
        "tree line only just reads: 4 stops under where it is brightest.",
        "house only just reads: 4 stops under where it is brightest.",
    ]


def test_dark_against_bright_is_a_silhouette_and_not_lost() -> None:
    assert said(Mara=-6.0) == ["Mara is a silhouette: 6 stops under, 1 stop under round it."]


def test_what_is_lost_is_told_together() -> None:
    assert said(trees=-7.0, house=-5.6, Mara=-6.0, yard=-5.5, sky=-np.inf) == [
        "Mara is 6 stops under: nothing there will read.",
        "tree line, house, yard and the sky are 5.5 stops under or darker: nothing there will read.",
    ]
    assert said(sky=-np.inf)[0] == "the sky is black: no light reaches it."


def test_what_clips() -> None:
    assert said(house=6.5) == ["house clips: 100 % of what is seen of it is past what the sensor holds."]


def test_a_short_latitude_loses_sooner() -> None:
    part, stops = np.zeros((8, 8), np.int32), np.full((8, 8), -4.0, np.float32)
    (tones,) = pieces_in_frame(stops, part, ("wall",), (), Latitude(under=3.5))
    assert tones.fate == "lost"
    (tones,) = pieces_in_frame(stops, part, ("wall",), (), Latitude())
    assert tones.fate == "barely"


@pytest.mark.parametrize(("columns", "told"), [(0, False), (1, True)])
def test_what_is_small_is_passed_over(columns: int, told: bool) -> None:
    """A set piece counts from half a per cent of the frame."""
    part, stops = np.zeros((10, 100), np.int32), np.zeros((10, 100), np.float32)
    part[:4, 0], part[:, 1 : 1 + columns] = 1, 1
    stops[part == 1] = -8.0
    found = pieces_in_frame(stops, part, ("wall", "post"), (), Latitude())
    assert ("post" in {one.name for one in found}) == told


def test_five_sentences_are_enough() -> None:
    part = np.repeat(np.arange(8, dtype=np.int32), 10)[None].repeat(10, axis=0)
    stops = np.full(part.shape, -4.0, np.float32)
    names = tuple(f"figure {number}" for number in range(8))
    assert len(reading_words(pieces_in_frame(stops, part, names, names, Latitude()))) == MOST


def test_a_frame_says_so(tmp_path: Path) -> None:
    """A figure 3 m from a bulb before a wall 40 m behind it, which gets less than a hundredth of its light."""
    (tmp_path / "night.yaml").write_text(
        """
title: Night
set:
  - wall: {name: far wall, along: [[-40, 40], [40, 40]], height: 30}
cast:
  - {name: Ada, at: [0, 0], facing: [0, -6]}
camera: {format: super35-3perf, lens: {focal: 35 mm, stop: 2.8}, at: [0, -6, 1.6], aim: Ada.chest, iso: 3200}
fixtures:
  - {name: bulb, practical: {kind: bulb, watts: 100, at: [0.5, -3, 2.2]}}
"""
    )
    options = FrameOptions(width=64, quality="draft")
    report = frame(read_scene(tmp_path / "night.yaml"), tmp_path / "out", options, store=Scratch())
    assert {one.name: one.fate for one in report.pieces}["far wall"] in ("lost", "barely")
    assert any("far wall" in words for words in report.what_reads)
    assert not any(words.startswith("Ada") and "nothing" in words for words in report.what_reads)
    told = json.loads((tmp_path / "out" / "frame.json").read_text())
    assert told["what_reads"] == list(report.what_reads)
