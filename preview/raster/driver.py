"""Driver: the way to a canvas on this machine, or a sentence that says what to install."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from preview.faults import UserError

if TYPE_CHECKING:
    from preview.raster.canvas import Canvas

NO_PACKAGE = (
    "the raster engine needs the Python package pyrender, which is not installed; install it with: "
    "pip install 'night-exterior-preview[raster]'"
)
NO_DRIVER = (
    "the raster engine needs an OpenGL driver (version 4.1) and found none that works; on Debian or Ubuntu, install one "
    "with: apt-get install libegl1 libgl1 libgl1-mesa-dri"
)
INSTEAD = "; or leave out the engine: rays need neither"
QUIET = {"EGL_LOG_LEVEL": "fatal", "MESA_LOG_LEVEL": "error", "LIBGL_DEBUG": "quiet"}
"""Mesa warns on stderr of each device that it tries in vain."""


@contextmanager
def canvas() -> Iterator[Canvas]:
    """An empty canvas, closed at the end.

    Raises UserError, with what to install, where pyrender or a driver is missing.
    """
    opened = _opened()
    try:
        yield opened
    finally:
        opened.close()


def _opened() -> Canvas:
    _choose_platform()
    try:
        from preview.raster.canvas import Canvas
    except ModuleNotFoundError as missing:
        if (missing.name or "").partition(".")[0] in ("pyrender", "OpenGL"):
            raise UserError(NO_PACKAGE + INSTEAD) from missing
        raise
    except (ImportError, OSError, AttributeError) as missing:
        # PyOpenGL and pyglet raise one or another of these where a library is not there.
        raise UserError(NO_DRIVER + INSTEAD) from missing
    try:
        return Canvas()
    except Exception as refused:  # of whatever kind the platform's binding raises
        raise UserError(NO_DRIVER + INSTEAD) from refused


def _choose_platform() -> None:
    """PyOpenGL and pyrender read the environment: EGL needs no display, and is there with one as well."""
    if sys.platform.startswith("linux"):
        os.environ.setdefault("PYOPENGL_PLATFORM", "egl")
        # pyrender imports pyglet for its windows; without this pyglet asks for libraries of X11.
        os.environ.setdefault("PYGLET_HEADLESS", "true")
    for name, value in QUIET.items():
        os.environ.setdefault(name, value)
