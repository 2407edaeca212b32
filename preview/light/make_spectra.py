"""Table of spectra: `python -m preview.light.make_spectra` writes spectra.csv beside this file.

The observer, the components of daylight, published lamps and those that are modelled here, each on the grid of
preview/light/spectrum.py. Needs colour-science (the test extra); the program itself only reads the table.

All published tables that are used have this very grid, so nothing is interpolated. Lines that lie between its
wavelengths are shared out to the two neighbours so that their power and their mean wavelength are kept.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from preview.light.spectrum import TABLE, WAVELENGTHS

Floats = NDArray[np.float64]

PUBLISHED = {
    "sodium": "HP1",
    "enhanced-sodium": "HP2",
    "metal-halide-3000": "HP3",
    "metal-halide-4000": "HP4",
    "metal-halide-4000-magenta": "HP5",
    "metal-halide-4300-green": "Metal Halide",
    "mercury": "H38HT-100 (Mercury)",
    "coated-mercury": "H38JA-100/DX (Mercury DX)",
    "tube-daylight": "FL1",
    "tube-cool-white": "FL2",
    "tube-white": "FL3",
    "tube-warm-white": "FL4",
    "tube-full-6500": "FL7",
    "tube-full-5000": "FL8",
    "tube-three-band-5000": "FL10",
    "tube-three-band-4000": "FL11",
    "tube-three-band-3000": "FL12",
    "tube-five-band-5000": "FL3.14",
    "tube-five-band-3000": "FL3.12",
    "led-2700": "LED-B1",
    "led-3000": "LED-B2",
    "led-4000": "LED-B3",
    "led-5000": "LED-B4",
    "led-6600": "LED-B5",
    "led-hybrid-2850": "LED-BH1",
    "led-three-colour-2850": "LED-RGB1",
    "led-violet-2700": "LED-V1",
    "led-violet-4000": "LED-V2",
}
"""Our names of spectra by their names in colour-science; where each is from stands in preview/trade/spectra.yaml."""

EMITTERS = {"led-mix-red": (632.0, 20.0), "led-mix-green": (523.0, 34.0), "led-mix-blue": (452.0, 20.0)}
"""Peak and full width at half height, nm, of coloured diodes. From memory, typical."""
LIME_PEAK, LIME_BELOW, LIME_ABOVE = 550.0, 52.0, 110.0
"""A green-yellow phosphor over a blue diode that it takes whole: peak and the two full widths. From memory, typical."""

SODIUM_DOUBLET = {589.0: 2.0, 589.6: 1.0}
"""Wavelength and strength. Lines D2 and D1 of sodium, 2 to 1 as of a thin vapour, handbooks; from memory."""

ARC_LINES = {
    404.7: 3.0,
    421.2: 2.0,
    435.8: 6.0,
    474.0: 1.0,
    546.1: 7.0,
    578.0: 5.0,
    598.9: 2.5,
    625.9: 1.5,
    671.0: 0.8,
}
"""Wavelength, and power as that of so many nm of the continuum beside it, of a daylight arc: mercury 404.7, 435.8, 546.1
and 578 nm, dysprosium and its like for the rest, which are many and stand here for groups. From memory, typical."""
ARC_WIDTH = 8.0
"""Full width at half height, nm, of a line at the pressure of such an arc. From memory, typical."""
ARC_KELVIN = 5600.0


def columns() -> dict[str, Floats]:
    """The columns of the table but for the arc: observer and daylight as published, lamps with 1 as their highest."""
    import colour

    sources: dict[str, Any] = {**dict(colour.SDS_ILLUMINANTS), **dict(colour.SDS_LIGHT_SOURCES)}
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    basis = colour.colorimetry.SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES
    found = {
        **{name: np.array([observer[nm][axis] for nm in WAVELENGTHS]) for axis, name in enumerate("xyz")},
        **{name.lower(): _at_grid(basis[name]) for name in ("S0", "S1", "S2")},
    }
    lamps = {name: _at_grid(sources[theirs]) for name, theirs in PUBLISHED.items()}
    lamps["low-pressure-sodium"] = lines(SODIUM_DOUBLET)
    lamps |= {name: _diode(*shape) for name, shape in EMITTERS.items()}
    lamps["led-mix-lime"] = _lime()
    return found | {name: values / values.max() for name, values in lamps.items()}


def with_arc(found: dict[str, Floats]) -> dict[str, Floats]:
    """The columns with the daylight arc, which needs a table of the others to be there."""
    arc = daylight_arc()
    return found | {"discharge-5600": arc / arc.max()}


def lines(strengths: dict[float, float]) -> Floats:
    """Lines on the grid, each shared out to its two neighbours."""
    power = np.zeros(len(WAVELENGTHS))
    step = WAVELENGTHS[1] - WAVELENGTHS[0]
    for wavelength, strength in strengths.items():
        place = (wavelength - WAVELENGTHS[0]) / step
        below = int(place)
        power[below] += strength * (below + 1 - place)
        power[below + 1] += strength * (place - below)
    return power


def daylight_arc() -> Floats:
    """The daylight series as continuum under broadened lines, brought to its kelvin by a filter after Wien's law."""
    from preview.light.colour_reading import read_xy
    from preview.light.spectrum import daylight, mired_filter, xy_of_spectrum

    continuum = daylight(ARC_KELVIN)
    deviation = ARC_WIDTH / 2.3548
    arc = continuum.copy()
    for wavelength, width in ARC_LINES.items():
        shape = np.exp(-0.5 * ((WAVELENGTHS - wavelength) / deviation) ** 2)
        height = width / (deviation * np.sqrt(2.0 * np.pi))
        arc += height * np.interp(wavelength, WAVELENGTHS, continuum) * shape
    shift = 0.0
    for _ in range(8):
        shift += 1e6 / ARC_KELVIN - read_xy(xy_of_spectrum(arc * mired_filter(shift))).mired
    return np.asarray(arc * mired_filter(shift))


def _diode(peak: float, width: float) -> Floats:
    """Source: Y. Ohno 2005, Spectral design considerations for white LED color rendering, equation 1."""
    bell = np.exp(-(((WAVELENGTHS - peak) / width) ** 2))
    return np.asarray((bell + 2.0 * bell**5) / 3.0)


def _lime() -> Floats:
    width = np.where(WAVELENGTHS < LIME_PEAK, LIME_BELOW, LIME_ABOVE)
    return np.asarray(np.exp2(-((2.0 * (WAVELENGTHS - LIME_PEAK) / width) ** 2)))


def _at_grid(spectrum: Any) -> Floats:
    return np.array([spectrum[nm] for nm in WAVELENGTHS], dtype=np.float64)


def main() -> None:
    import colour

    found = columns()
    _write(found, colour.__version__)
    _write(with_arc(found), colour.__version__)


def _write(found: dict[str, Floats], version: str) -> None:
    rows = [
        ",".join([f"{nm:.0f}", *(f"{values[row]:.6g}" for values in found.values())])
        for row, nm in enumerate(WAVELENGTHS)
    ]
    head = [
        f"# Spectra: made by preview/light/make_spectra.py with colour-science {version}; not edited by hand.",
        "# x, y, z: CIE 1931 2 degree observer; s0, s1, s2: components of daylight, CIE 15; the rest: lamps, highest 1.",
        ",".join(["nm", *found]),
    ]
    TABLE.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
