"""Lens ladder: which lenses and formats are tried, as they are asked for or round the script's own."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt
from typing import Final

from preview.commands.shot import ACROSS
from preview.faults import UserError
from preview.script.quantities import millimetres, shown
from preview.script.words import unknown
from preview.trade import catalogue

USUAL: Final = (
    8,
    10,
    12,
    14,
    16,
    18,
    21,
    25,
    28,
    32,
    35,
    40,
    50,
    65,
    75,
    85,
    100,
    135,
    150,
    180,
    200,
    300,
    400,
    600,
    800,
)
"""Focal lengths that sets of lenses have, mm. Common practice, no source."""
STEP: Final = 2.0 ** (2.0 / 3.0)
"""From one lens of a ladder to the next: the frame shrinks by 1.6, about as from a 50 to an 85 mm."""
WIDER, TIGHTER = 1, 2
"""Lenses of the usual ladder on either side of the script's own."""
MOST: Final = 12
"""Pictures that are compared at once."""
SHORTEST, LONGEST = 2.0, 3000.0
"""Millimetres that a lens is taken to have."""
RANGE: Final = 1.45
"""From one lens to the next of a range, about."""
EXAMPLE: Final = "write --focal 24,35,50,85, or a range as 24..70"


@dataclass(frozen=True)
class LensOptions:
    """`focal_mm`: the lenses, None for a ladder round the script's own; `hold`: the figure that keeps its size while the
    camera moves; `formats`: their names, none for the script's own; `match`: whether each format has the lens of the
    same field. `across`: pixels of a picture."""

    focal_mm: tuple[float, ...] | None = None
    hold: str | None = None
    formats: tuple[str, ...] = ()
    match: bool = False
    across: int = ACROSS
    seed: int = 1


def read_focals(text: str) -> tuple[float, ...]:
    """Focal lengths in mm from `24,35,50,85`, `24 mm, 35 mm` or a range, `24..70`; each once, in order of length.

    UserError in a sentence for what is none.
    """
    found: set[float] = set()
    for part in text.split(","):
        if not part.strip():
            raise UserError(f"--focal: a focal length is missing in {shown(text)}; {EXAMPLE}")
        low, dots, high = part.partition("..")
        found |= set(_between(_focal(low), _focal(high), part)) if dots else {_focal(part)}
    if len(found) > MOST:
        raise UserError(f"--focal: {len(found)} lenses are more than the {MOST} that are compared at once")
    return tuple(sorted(found))


def read_formats(text: str) -> tuple[str, ...]:
    """Names of formats from `full-frame,super16`, each once. UserError for a name that is not in the catalogue."""
    known = catalogue.names("formats")
    found: dict[str, None] = {}
    for part in text.split(","):
        name = part.strip()
        if not name:
            raise UserError(
                f"--format: a name is missing in {shown(text)}; write --format full-frame,super16"
            )
        if name not in known:
            raise UserError(f"--format: {unknown('format', name, known)}")
        found[name] = None
    if len(found) > MOST:
        raise UserError(f"--format: {len(found)} formats are more than the {MOST} that are compared at once")
    return tuple(found)


def ladder(own_mm: float) -> tuple[float, ...]:
    """The script's own lens, the next wider and the next tighter ones that sets of lenses have."""
    found = {own_mm}
    for step in (*range(-WIDER, 0), *range(1, TIGHTER + 1)):
        found.add(_usual(own_mm * STEP**step))
    return tuple(sorted(found))


def consistent(options: LensOptions) -> None:
    """UserError where options do not go together."""
    many = len(options.formats) > 1
    if many and options.focal_mm is not None and len(options.focal_mm) > 1:
        raise UserError("--format: several formats are compared through one lens; give one --focal with them")
    if options.match and not many:
        raise UserError(
            "--match: it gives the lens of the same field on each of several formats; name them with --format"
        )
    if options.match and options.hold is not None:
        raise UserError(
            "--match and --hold are two ways to keep a figure's size on several formats, by the lens and by the "
            "camera's place; give one of them"
        )


def _focal(text: str) -> float:
    try:
        focal = millimetres(text.strip())
    except ValueError as fault:
        raise UserError(f"--focal: {str(fault).partition('; ')[0]}; {EXAMPLE}") from None
    focal = round(focal, 2)
    if not SHORTEST <= focal <= LONGEST:
        raise UserError(
            f"--focal: no lens has {focal:g} mm; from {SHORTEST:g} to {LONGEST:g} mm are taken; {EXAMPLE}"
        )
    return focal


def _between(low: float, high: float, written: str) -> tuple[float, ...]:
    """From one focal length to another by steps of about RANGE, those between as sets of lenses have them."""
    if low >= high:
        raise UserError(f"--focal: the range {shown(written.strip())} does not rise; {EXAMPLE}")
    steps = max(1, round(log(high / low) / log(RANGE)))
    inner = [_usual(low * (high / low) ** (step / steps)) for step in range(1, steps)]
    return (low, *(focal for focal in inner if low < focal < high), high)


def _usual(focal: float) -> float:
    """The nearest that sets of lenses have; beyond them the length itself, whole."""
    if not USUAL[0] / sqrt(RANGE) <= focal <= USUAL[-1] * sqrt(RANGE):
        return float(max(1, round(focal)))
    return float(min(USUAL, key=lambda one: abs(log(one / focal))))
