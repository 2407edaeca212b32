"""Report: the numbers of a frame: what the meter reads at each mark, what each fixture gives, what the sensor holds."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from preview.camera.in_shot import where
from preview.script.models.camera import Latitude
from preview.sheets.answer.words import percent
from preview.sheets.what_reads import PieceTones

if TYPE_CHECKING:
    from rich.console import Group

    from preview.sheets.meter_report import MeterReport


@dataclass(frozen=True)
class Share:
    """What one fixture gives at a mark, direct and bounced together; `share` of the whole there, 0 to 1."""

    fixture: str
    lux: float
    footcandles: float
    share: float


@dataclass(frozen=True)
class MarkReading:
    """An incident reading. `stops` from what exposes grey as grey; None where there is no light at all.

    `in_picture_stops`: the median exposure of what the camera sees there, which a face turned from the lens may fall
    far short of; None where the mark is not seen.
    """

    name: str
    lux: float
    footcandles: float
    stops: float | None
    in_picture_stops: float | None
    direct_lux: float
    bounced_lux: float
    fixtures: tuple[Share, ...]


@dataclass(frozen=True)
class FixtureReport:
    """`level` as set, 1 is full; `gain` level, scrims and gels together. `distance_m` to `distance_to`, where it
    stands somewhere. `mark_share`: of the light at all marks, None without marks; `frame_share`: of the frame's
    mean luminance; both 0 to 1.
    """

    name: str
    level: float
    gain: float
    kelvin: float | None
    distance_m: float | None
    distance_to: str | None
    mark_share: float | None
    frame_share: float


@dataclass(frozen=True)
class Extreme:
    """The brightest or darkest thousandth part of the frame, in stops from grey (None: no light), and where it is."""

    stops: float | None
    where: str
    words: str


@dataclass(frozen=True)
class Tones:
    """How the frame lies on the sensor. Shares 0 to 1; `middle_stops`: half the frame is darker, None for black."""

    below_share: float
    above_share: float
    middle_stops: float | None
    brightest: Extreme
    darkest: Extreme


@dataclass(frozen=True)
class Noise:
    """What chance leaves in the frame, in stops, one standard deviation, bounce and haze apart: the `target`; what 95
    per cent of the pixels are within; the share of them that is not within the target, 0 to 1.
    """

    target_stops: float
    most_stops: float
    beyond_share: float


@dataclass(frozen=True)
class FrameReport:
    """Everything said of one frame. `grey_lux`: what exposes an 18 % card as grey. `files`: names as written.
    `what_reads`: of `pieces`, in sentences.
    """

    title: str
    setup: str
    look: str | None
    quality: str
    engine: str
    grain: bool
    seed: int
    focal_mm: float
    stop: float
    iso: float
    shutter_deg: float
    fps: float
    balance_k: float
    tint: float
    latitude_under: float
    latitude_over: float
    width: int
    height: int
    grey_lux: float
    grey_footcandles: float
    marks: tuple[MarkReading, ...]
    fixtures: tuple[FixtureReport, ...]
    noise: Noise
    tones: Tones
    files: tuple[str, ...] = ()
    pieces: tuple[PieceTones, ...] = ()
    what_reads: tuple[str, ...] = ()


def tones(stops: NDArray[np.float32], latitude: Latitude) -> Tones:
    """The tones of a frame given in stops from grey (h, w), -inf for no light."""
    ordered = np.sort(stops, axis=None)
    few = max(1, ordered.size // 1000)
    return Tones(
        float(np.mean(stops < -latitude.under)),
        float(np.mean(stops > latitude.over)),
        finite(float(ordered[ordered.size // 2])),
        _extreme(stops, stops >= ordered[-1], float(ordered[-1]), latitude),
        _extreme(stops, stops <= ordered[few - 1], float(ordered[few - 1]), latitude),
    )


def finite(stops: float) -> float | None:
    """The same, or None where JSON has no word for it."""
    return stops if isfinite(stops) else None


def _extreme(
    stops: NDArray[np.float32], chosen: NDArray[np.bool_], value: float, latitude: Latitude
) -> Extreme:
    rows, columns = np.nonzero(chosen)
    height, width = stops.shape
    u, v = (float(np.median(columns)) + 0.5) / width, (float(np.median(rows)) + 0.5) / height
    spread = max(float(np.ptp(columns)) / width, float(np.ptp(rows)) / height)
    place = "in many places" if spread > 0.6 else where((u, v, u, v))
    if value > latitude.over:
        held = ", clipped"
    elif isfinite(value) and value < -latitude.under:
        held = ", under the noise floor"
    else:
        held = ""
    return Extreme(finite(value), place, f"{stops_words(finite(value))}{held}, {place}")


def stops_words(stops: float | None) -> str:
    """`2.3 stops under grey`, `at grey`, `no light`."""
    if stops is None:
        return "no light"
    if abs(stops) < 0.05:
        return "at grey"
    return f"{abs(stops):.1f} stop{'' if 0.95 <= abs(stops) < 1.05 else 's'} {'over' if stops > 0 else 'under'} grey"


def to_json(report: FrameReport) -> dict[str, Any]:
    """Plain values for json.dumps."""
    return asdict(report)


def setup_words(report: FrameReport) -> str:
    """The setup, with its look, and what else is not as usual: `tight, look colder, draft`."""
    look = f"look {report.look}" if report.look else None
    quality = report.quality if report.quality != "look" else None
    engine = report.engine if report.engine != "traced" else None
    return ", ".join(word for word in (report.setup, look, quality, engine) if word)


def exposure_line(report: FrameReport | MeterReport) -> str:
    """The camera's settings as they are called out on set."""
    tint = f" tint {report.tint:+g}" if report.tint else ""
    return (
        f"{report.focal_mm:g} mm, T{report.stop:g}, ISO {report.iso:g}, {report.shutter_deg:g}° at {report.fps:g} fps, "
        f"{report.balance_k:g} K{tint}"
    )


def sensor_words(report: FrameReport) -> list[str]:
    """What a gaffer would say of the frame, a sentence each."""
    tones = report.tones
    if tones.below_share > 0.0:
        floor = f"the noise floor ({report.latitude_under:g} stops under)"
        share = percent(tones.below_share).replace("<", "Less than")
        below = f"{share} of the frame is under {floor}"
    else:
        below = "Nothing is under the noise floor"
    if tones.above_share > 0.0:
        share = percent(tones.above_share).replace("<", "less than")
        above = f"{share} clips ({report.latitude_over:g} stops over)"
    else:
        above = "nothing clips"
    middle = "black" if tones.middle_stops is None else stops_words(tones.middle_stops)
    return [
        f"{below}, {above}.",
        f"The middle tone of the frame is {middle}: half of it is darker."
        if middle != "black"
        else "Half the frame is black.",
        f"Brightest: {tones.brightest.words}. Darkest: {tones.darkest.words}.",
    ]


def noise_words(report: FrameReport) -> str:
    """How far chance may have moved the pixels."""
    if report.engine != "traced":
        return "Hard shadows; no bounce, haze or mirrored surroundings: for composition, not for levels."
    noise = report.noise
    reached = "under 0.01" if noise.most_stops < 0.005 else f"{noise.most_stops:.2f}"
    told = f"Computed to {reached} stop in 95 % of the frame (asked: {noise.target_stops:g})"
    return f"{told}, coarser in {percent(noise.beyond_share)}." if noise.beyond_share >= 0.001 else f"{told}."


def reading(lux: float) -> str:
    """A meter reading to three figures: `0.213`, `21.4`, `2140`."""
    if lux <= 0:
        return "0"
    digits = max(0, 2 - int(np.floor(np.log10(lux))))
    return f"{lux:.{min(digits, 6)}f}"


def mark_words(mark: MarkReading) -> str:
    """Where a mark's light comes from: the two fixtures that give most."""
    most = sorted((s for s in mark.fixtures if s.share >= 0.01), key=lambda s: -s.share)[:2]
    return ", ".join(f"{s.fixture} {percent(s.share)}" for s in most) or "no light"


NAME_WIDTH = 12
"""Characters that a name keeps however narrow the terminal: figures without it say nothing."""
WIDE = 70
"""Characters from which every column has room."""


def summary(report: FrameReport, *, width: int = 80) -> Group:
    """A rich renderable, short: exposure, marks, fixtures, what the sensor holds, files.

    Columns that a terminal of `width` characters has no room for are left out, never a name.
    """
    from rich.console import Group
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    blocks: list[Text | Padding] = [
        Text.assemble((report.title, "bold"), f"  {setup_words(report)}"),
        Text(exposure_line(report)),
        Text(
            f"Grey wants {reading(report.grey_lux)} lx ({reading(report.grey_footcandles)} fc) incident.",
            style="dim",
        ),
    ]
    if report.marks:
        table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
        table.add_column("mark", min_width=NAME_WIDTH, overflow="fold")
        wide = width >= WIDE
        for head in ("lux", "fc", "stops", "in picture", *(("bounced",) if wide else ())):
            table.add_column(head, justify="right", no_wrap=True)
        if wide:
            table.add_column("from", overflow="fold")
        for m in report.marks:
            table.add_row(
                Text(m.name),
                reading(m.lux),
                reading(m.footcandles),
                "black" if m.stops is None else f"{m.stops:+.1f}",
                "" if m.in_picture_stops is None else f"{m.in_picture_stops:+.1f}",
                *((percent(m.bounced_lux / m.lux) if m.lux > 0 else "", Text(mark_words(m))) if wide else ()),
            )
        blocks.append(Padding(table, (1, 0, 0, 2)))
    if report.fixtures:
        table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 0))
        table.add_column("fixture", min_width=NAME_WIDTH, overflow="fold")
        wide = width >= WIDE
        for head in ("level", *(("kelvin", "metres") if wide else ()), "at marks", "in frame"):
            table.add_column(head, justify="right", no_wrap=True)
        for f in report.fixtures:
            table.add_row(
                Text(f.name),
                percent(f.level) if f.level < 0.1 else f"{100 * f.level:.0f} %",
                *(
                    (
                        "" if f.kelvin is None else f"{f.kelvin:.0f}",
                        "" if f.distance_m is None else f"{f.distance_m:.1f}",
                    )
                    if wide
                    else ()
                ),
                "" if f.mark_share is None else percent(f.mark_share),
                percent(f.frame_share),
            )
        blocks.append(Padding(table, (1, 0, 0, 2)))
    blocks.append(
        Padding(
            Text("\n".join([*report.what_reads, *sensor_words(report), noise_words(report)])), (1, 0, 0, 0)
        )
    )
    if report.files:
        blocks.append(Text("Wrote " + "\n      ".join(report.files), style="dim"))
    return Group(*blocks)
