"""Where the driver or pyrender is missing: a sentence that says what to install, and nothing else."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from preview.faults import UserError
from preview.raster import driver
from tests.raster import yard

OPEN = """
import sys
from preview.faults import UserError
from preview.raster.driver import canvas
{before}
try:
    with canvas():
        print("open")
except UserError as error:
    print(error)
"""

NO_LIBRARY = """
import ctypes

class Missing(ctypes.CDLL):
    def __init__(self, name, *others, **more):
        if "EGL" in str(name):
            raise OSError(f"{name}: cannot open shared object file: No such file or directory")
        super().__init__(name, *others, **more)

ctypes.CDLL = ctypes.cdll._dlltype = Missing
"""
"""The dynamic loader's answer where libegl1 was never installed."""


def opened(before: str = "", **environment: str) -> subprocess.CompletedProcess[str]:
    """A process of its own that opens a canvas, since a driver once loaded stays."""
    clean = {name: value for name, value in os.environ.items() if name != "PYOPENGL_PLATFORM"}
    return subprocess.run(
        [sys.executable, "-c", OPEN.format(before=before)],
        env=clean | environment,
        capture_output=True,
        text=True,
        check=True,
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="EGL's loader is Linux's")
@pytest.mark.parametrize(
    ("before", "environment"),
    [
        ("", {"__EGL_VENDOR_LIBRARY_DIRS": "/nowhere"}),
        ("", {"LIBGL_DRIVERS_PATH": "/nowhere", "EGL_PLATFORM": "surfaceless"}),
        (NO_LIBRARY, {}),
    ],
    ids=["no vendor", "no driver", "no library"],
)
def test_no_driver(before, environment):
    done = opened(before, **environment)
    assert done.stdout == driver.NO_DRIVER + driver.INSTEAD + "\n"
    assert "apt-get install libegl1 libgl1 libgl1-mesa-dri" in done.stdout
    assert done.stderr == ""


def test_no_pyrender():
    done = opened("sys.modules['pyrender'] = None")
    assert done.stdout == driver.NO_PACKAGE + driver.INSTEAD + "\n"
    assert "pip install 'night-exterior-preview[raster]'" in done.stdout
    assert done.stderr == ""


def test_another_missing_module_is_a_bug(monkeypatch):
    """Only what the user can mend is told as theirs."""
    monkeypatch.setitem(sys.modules, "preview.raster.canvas", None)
    with pytest.raises(ModuleNotFoundError):
        driver._opened()


def test_a_driver_opens_without_a_word():
    yard.need_driver()
    done = opened()
    assert (done.stdout, done.stderr) == ("open\n", "")


def test_too_many_triangles(monkeypatch):
    yard.need_driver()
    from preview.raster import canvas

    monkeypatch.setattr(canvas, "MOST", 20)
    with driver.canvas() as sheet, pytest.raises(UserError, match="at most 20 triangles"):
        sheet.hold(yard.yard().solid.world)
