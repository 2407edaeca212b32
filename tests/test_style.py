"""Lint, layout and types, as every change must leave them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("command", ["ruff check --no-cache .", "ruff format --no-cache --check .", "mypy"])
def test_the_house_is_tidy(command: str) -> None:
    words = [sys.executable, "-m", *command.split()]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
