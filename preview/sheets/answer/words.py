"""Words: how numbers are written in answers."""

from __future__ import annotations


def signed(value: float, decimals: int = 1) -> str:
    """`+0.4`, `−1.2`, `0.0`: a true minus, and no sign before nought."""
    text = f"{abs(value):.{decimals}f}"
    return text if float(text) == 0.0 else f"{'+' if value > 0 else '−'}{text}"


def percent(share: float) -> str:
    """`62 %`, `0.4 %`, `< 0.1 %`, `0`."""
    if share <= 0:
        return "0"
    if share < 0.001:
        return "< 0.1 %"
    return f"{100 * share:.1f} %" if share < 0.0995 else f"{100 * share:.0f} %"
