"""Meter report: everything that the meter says of a scene, as plain values.

Stops are log2 of ratios, None where one side has no light. Left and right are the camera's unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from preview.camera.bearing import Bearing


@dataclass(frozen=True)
class ReceptorReading:
    """What one receptor says: `stops` over grey as the camera is set; the T-stop it calls for, exact and in thirds."""

    lux: float
    footcandles: float
    stops: float | None
    stop: float | None
    stop_words: str


@dataclass(frozen=True)
class Alone:
    """One fixture at a mark, all others off: what a flat receptor reads, how much of that came by other surfaces, what a
    dome reads, the share of the flat receptor's whole (0 to 1), and from where it comes."""

    fixture: str
    lux: float
    footcandles: float
    bounced_lux: float
    dome_lux: float
    dome_footcandles: float
    share: float
    way: Bearing | None


@dataclass(frozen=True)
class Ratio:
    """How much more one reading is than another: in stops, and as so many to one."""

    stops: float
    to_one: float


@dataclass(frozen=True)
class KeyAndFill:
    """`key_lux`: of the key alone, its bounce with it. `fill_lux`: of the mark with the key shaded at the meter, so
    with the key's bounce in it. `ratio`: key and fill together to fill; None where nothing fills."""

    key: str
    key_lux: float
    fill_lux: float
    fill_footcandles: float
    ratio: Ratio | None


@dataclass(frozen=True)
class Back:
    """Light from behind, as the lens sees it: a flat receptor turned away from the lens; `ratio`: over the mark's own flat
    reading; `fixture`: which gives most of it."""

    lux: float
    footcandles: float
    ratio: Ratio | None
    fixture: str | None


@dataclass(frozen=True)
class Cheeks:
    """Flat receptors turned `turned_deg` to either side of the way a face looks. `left` is the one nearer the frame's left;
    it is the figure's own left or right as `left_is` says. `brighter`: left, right or even; `ratio`: brighter to darker."""

    turned_deg: float
    left_lux: float
    left_footcandles: float
    right_lux: float
    right_footcandles: float
    left_is: str
    brighter: str
    ratio: Ratio | None


@dataclass(frozen=True)
class Behind:
    """What the lens sees behind against the face: median luminances, cd/m2; `stops` positive where behind is brighter.
    `face` is None where the lens does not see the face."""

    face: float | None
    behind: float
    stops: float | None


@dataclass(frozen=True)
class Colour:
    """Colour at a mark: `off_mired` positive is warmer than the balance."""

    kelvin: float
    duv: float
    mired: float
    off_mired: float
    words: str


@dataclass(frozen=True)
class MarkReport:
    """A mark. `fixtures`: those that give most first. `colour`: None where there is no light to speak of. `note`: what is
    to be said of where the meter is held, None for nothing."""

    name: str
    flat: ReceptorReading
    dome: ReceptorReading
    direct_lux: float
    bounced_lux: float
    fixtures: tuple[Alone, ...]
    key: KeyAndFill | None
    back: Back
    cheeks: Cheeks | None
    behind: Behind | None
    colour: Colour | None
    note: str | None = None


@dataclass(frozen=True)
class Falloff:
    """How a fixture falls off across the set: lux on a flat receptor turned to it, without bounce, at the nearest and the
    farthest of marks and figures; `near_m`, `far_m`: from lamp to meter; `stops` the near reading is over the far one,
    None where it does not reach one of them; `by_distance`: what the inverse square of those distances alone would
    make it."""

    fixture: str
    near: str
    near_m: float
    near_lux: float
    far: str
    far_m: float
    far_lux: float
    stops: float | None
    by_distance: float


@dataclass(frozen=True)
class Catchlight:
    """The mirror image of a source on a cornea, as the lens sees it.

    `clock`: hours, 12 is up; `off_centre`: how far from the middle, as a share of the iris's radius; size in millimetres on
    the eye, as a share of the iris's width, and in pixels of a frame 960 wide. `luminance` cd/m2 of the image, `stops` of
    that over grey. `seen`: share of the source that the eye has a free way to, 0 to 1; `hidden`: what hides it, None for
    nothing.
    """

    fixture: str
    clock: float
    off_centre: float
    width_mm: float
    height_mm: float
    of_iris: float
    width_px: float
    height_px: float
    luminance: float
    stops: float | None
    seen: float
    hidden: str | None


@dataclass(frozen=True)
class Eye:
    """An eye of a figure. `eye`: left or right as the camera sees them; `note`: why the lens sees nothing of it, or
    None."""

    figure: str
    eye: str
    iris_px: float
    note: str | None
    lights: tuple[Catchlight, ...]


@dataclass(frozen=True)
class SpotShare:
    """One fixture's part of a spot reading: cd/m2 and share, 0 to 1."""

    fixture: str
    luminance: float
    share: float


@dataclass(frozen=True)
class Spot:
    """A spot reading about a place of the frame: x, y in pixels of a frame 960 wide. `hits`: part of the set or of the rig,
    or `sky`; `exposure_value` at ISO 100."""

    x: float
    y: float
    hits: str
    distance_m: float | None
    luminance: float
    footlamberts: float
    stops: float | None
    exposure_value: float | None
    fixtures: tuple[SpotShare, ...]


@dataclass(frozen=True)
class MeterReport:
    """Everything that the meter says. `grey_lux`: what a flat receptor wants for grey, `grey_dome_lux` a dome."""

    title: str
    setup: str
    look: str | None
    seed: int
    focal_mm: float
    stop: float
    iso: float
    shutter_deg: float
    fps: float
    balance_k: float
    tint: float
    grey_lux: float
    grey_footcandles: float
    grey_dome_lux: float
    grey_dome_footcandles: float
    flat_constant: float
    dome_constant: float
    spot_constant: float
    marks: tuple[MarkReport, ...]
    falloffs: tuple[Falloff, ...]
    eyes: tuple[Eye, ...]
    spots: tuple[Spot, ...]
    frames: tuple[Any, ...] = ()
    files: tuple[str, ...] = ()


def to_json(report: MeterReport) -> dict[str, Any]:
    """Plain values for json.dumps."""
    from preview.sheets.frames_text import to_json as frames_json

    return {**asdict(report), "frames": frames_json(report.frames)}
