"""Frame sheet: the stops map of a frame with the legend that reads it."""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from preview.camera.stops_map import LegendEntry, legend_entries, stops_map
from preview.script.models.camera import Latitude
from preview.sheets.answer.words import percent
from preview.sheets.drawing import INK, MARGIN, QUIET, RULE, SHADE, WIDTH, Sheet, figures_width, font
from preview.sheets.even_digits import figures
from preview.sheets.report import FrameReport, exposure_line, sensor_words, setup_words

if TYPE_CHECKING:
    from PIL import Image

ROW = 50
SWATCH = 110
BAR = 300


def frame_sheet(stops: NDArray[np.float32], latitude: Latitude, report: FrameReport) -> Image.Image:
    """The sheet, from stops from 18 % grey (h, w), -inf for no light."""
    sheet = Sheet(
        f"{report.title}: exposure in stops", f"Setup {setup_words(report)}, {exposure_line(report)}"
    )
    sheet.picture(stops_map(stops, latitude))
    for sentence in sensor_words(report):
        sheet.text(sentence)
    sheet.heading("Stops from 18 % grey")
    _legend(sheet, stops, legend_entries(latitude))
    return sheet.finished()


def band_words(entry: LegendEntry) -> str:
    """`−2.5 to −1.5`, `below −7`, `above +6`."""
    if entry.low == -inf:
        return f"below {_signed(entry.high)}"
    if entry.high == inf:
        return f"above {_signed(entry.low)}"
    return f"{_signed(entry.low)} to {_signed(entry.high)}"


def band_shares(stops: NDArray[np.float32], entries: tuple[LegendEntry, ...]) -> list[float]:
    """Share of the frame in each band, 0 to 1; together 1."""
    edges = np.array([entry.high for entry in entries[:-1]], np.float32)
    bands = np.searchsorted(edges, stops.ravel(), side="right")
    return [float(count) / stops.size for count in np.bincount(bands, minlength=len(entries))]


def _legend(sheet: Sheet, stops: NDArray[np.float32], entries: tuple[LegendEntry, ...]) -> None:
    """A row for each band, brightest on top: colour, stops, words, how much of the frame lies in it."""
    shares = band_shares(stops, entries)
    most = max(shares)
    numbers = max(figures_width(band_words(entry), "body") for entry in entries)
    bar_at = WIDTH - MARGIN - BAR - 120
    for entry, share in zip(reversed(entries), reversed(shares), strict=True):
        sheet.reserve(ROW)
        y, draw = sheet.y, sheet.draw
        draw.rectangle((MARGIN, y, MARGIN + SWATCH, y + ROW - 2), fill=entry.rgb, outline=RULE, width=2)
        x = MARGIN + SWATCH + 24
        words = band_words(entry)
        figures(draw, (x + numbers - figures_width(words, "body"), y + 3), words, "body")
        draw.text((x + numbers + 36, y + 3), entry.words, font=font("body"), fill=INK)
        draw.rectangle((bar_at, y + 12, bar_at + BAR, y + ROW - 14), fill=SHADE)
        if share > 0:
            draw.rectangle((bar_at, y + 12, bar_at + max(2.0, BAR * share / most), y + ROW - 14), fill=QUIET)
        words = percent(share)
        figures(draw, (WIDTH - MARGIN - figures_width(words, "body"), y + 3), words, "body", QUIET)
        sheet.y += ROW
    sheet.y += 12
    sheet.text("Bars and per cents: how much of the frame lies in each band.", "small", colour=QUIET)


def _signed(stops: float) -> str:
    return f"{'+' if stops > 0 else '−' if stops < 0 else ''}{abs(stops):g}"
