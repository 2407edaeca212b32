"""Words: how numbers are written in answers."""

from __future__ import annotations


def signed(value: float, decimals: int = 1) -> str:
    """`+0.4`, `−1.2`, `0.0`: a true minus, and no sign before nought."""
    text = f"{abs(value):.{decimals}f}"
    return text if float(text) == 0.0 else f"{'+' if value > 0 else '−'}{text}"
