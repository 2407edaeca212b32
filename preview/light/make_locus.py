"""Table of the Planckian locus: `python -m preview.light.make_locus` writes planck-locus.csv beside this file.

Needs colour-science (the test extra); the program itself only reads the table, since that import takes most of a
second.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

TABLE = Path(__file__).with_name("planck-locus.csv")
MIREDS = np.arange(36, 1004, 4)


def rows() -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Mired, CIE 1960 u, v of the full radiator (n, 3): CIE 1931 2 degree observer, 360 to 830 nm by 1 nm."""
    import colour

    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy()
    wavelengths_m = observer.wavelengths * 1e-9
    uv = []
    for mired in MIREDS:
        spectrum = colour.colorimetry.planck_law(wavelengths_m, 1e6 / mired)
        x, y, z = spectrum @ observer.values
        uv.append((4 * x, 6 * y) / (x + 15 * y + 3 * z))
    return np.column_stack([MIREDS, uv])


def main() -> None:
    import colour

    lines = [
        "# Planckian locus: Planck's law (c2 = 0.014388 m K, ITS-90) summed with the CIE 1931 2 degree observer,",
        f"# 360 to 830 nm by 1 nm. Made by preview/light/make_locus.py with colour-science {colour.__version__}.",
        "# mired, u, v (CIE 1960)",
        *(f"{mired:.0f},{u:.8f},{v:.8f}" for mired, u, v in rows()),
    ]
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
