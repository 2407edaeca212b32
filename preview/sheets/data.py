"""Data: plain values as the JSON text that is written and printed."""

from __future__ import annotations

import json
from typing import Any


def json_text(values: Any) -> str:
    """JSON, indented, letters as they are; ValueError for what JSON has no word for (NaN, infinity)."""
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)
