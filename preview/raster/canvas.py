"""Canvas: triangles in a GL driver's hands, drawn as the number of the face seen in each pixel, through pyrender.

Of pyrender come the context, with EGL where there is no display, the upload, the shaders and the drawing. Its own
pictures are not asked for: they hold eight bits of light, a gamma and a gloss, smooth four samples into one and have no
shadows of lamps that shine all round. A face's number is a colour of three whole bytes, and eight bits are enough for it.
Importing this module opens the driver's libraries: `preview.raster.driver` does, and says what is missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyrender
from numpy.typing import NDArray
from OpenGL import GL

from preview.build.world import World
from preview.faults import UserError
from preview.raster.projection import Projection

Array = NDArray[np.float32]
Floats = NDArray[np.float64]

CHUNK = 16384
"""Triangles that are drawn, or left out as out of sight, together."""
DEPTH = 1 << 20
"""A flag of our own beside pyrender's, for what is to be read back."""
MOST = 2**24 - 1
"""Faces that three bytes can number."""


class Canvas:
    """A driver's context with triangles in it. To be used on one thread, and closed."""

    def __init__(self) -> None:
        self._renderer = _Offscreen(8, 8)
        self._scene = pyrender.Scene(bg_color=[0.0, 0.0, 0.0, 0.0])
        self._lens = self._scene.add(_Lens())
        self._chunks: list[Any] = []
        self._worlds: list[int] = []
        self._boxes = np.zeros((0, 2, 3))
        self._count = 0
        self._held = 0

    def close(self) -> None:
        """Gives everything back to the driver."""
        self._renderer.delete()

    def hold(self, world: World) -> None:
        """Adds the triangles of a world; their numbers follow those already held."""
        material = pyrender.MetallicRoughnessMaterial(doubleSided=True, baseColorFactor=[1.0, 1.0, 1.0, 1.0])
        if self._count + len(world.faces) > MOST:
            raise UserError(f"the raster engine draws at most {MOST:,} triangles; leave out the engine")
        boxes = [self._boxes]
        for first in range(0, len(world.faces), CHUNK):
            corners = world.vertices[world.faces[first : first + CHUNK]].astype(np.float32)
            name = 1 + self._count + first + np.arange(len(corners))
            colour = np.stack([name & 255, name >> 8 & 255, name >> 16, np.full_like(name, 255)], axis=1)
            primitive = pyrender.Primitive(
                positions=corners.reshape(-1, 3),
                color_0=np.repeat(colour.astype(np.float32) / np.float32(255.0), 3, axis=0),
                material=material,
            )
            mesh = pyrender.Mesh([primitive])
            self._scene.add(mesh)
            self._chunks.append(mesh)
            self._worlds.append(self._held)
            flat = corners.reshape(-1, 3)
            boxes.append(np.stack([flat.min(axis=0), flat.max(axis=0)]).astype(float)[None])
        self._boxes = np.concatenate(boxes)
        self._count += len(world.faces)
        self._held += 1

    def faces(
        self, projection: Projection, *, width: int, height: int, worlds: Sequence[int]
    ) -> NDArray[np.int32]:
        """The numbers of the faces seen (height, width), -1 for none, row 0 the lowest as GL counts.

        Of `worlds` alone, by their places in the order of holding; but faces are numbered over all that are held.
        """
        colour = self._drawn(projection, width, height, worlds, depth=False)
        return (colour & np.uint32(0xFFFFFF)).astype(np.int32) - np.int32(1)

    def depth(self, projection: Projection, *, width: int, height: int, worlds: Sequence[int]) -> Array:
        """GL's window depth (height, width), 0 near to 1 far and for nothing, in the same order."""
        return self._drawn(projection, width, height, worlds, depth=True)

    def _drawn(
        self, projection: Projection, width: int, height: int, worlds: Sequence[int], *, depth: bool
    ) -> NDArray[Any]:
        for mesh, world, misses in zip(
            self._chunks, self._worlds, projection.misses(self._boxes), strict=True
        ):
            mesh.is_visible = not misses and world in worlds
        self._lens.camera.matrix = projection.to_clip
        self._scene.set_pose(self._lens, np.linalg.inv(projection.to_eye))
        self._renderer.viewport_width, self._renderer.viewport_height = width, height
        # The one that is asked for is all that is read back.
        flags = pyrender.RenderFlags.FLAT | (DEPTH if depth else pyrender.RenderFlags.NONE)
        image: NDArray[Any] = self._renderer.render(self._scene, flags)
        return image


class _Lens(pyrender.Camera):  # type: ignore[misc]
    """A camera of any projection."""

    def __init__(self) -> None:
        super().__init__(znear=0.1, zfar=100.0)
        self.matrix = np.eye(4)

    def get_projection_matrix(self, width: int | None = None, height: int | None = None) -> Floats:
        return self.matrix


class _Offscreen(pyrender.OffscreenRenderer):  # type: ignore[misc]
    def _create(self) -> None:
        super()._create()
        self._renderer = _OneSample(self.viewport_width, self.viewport_height)


class _OneSample(pyrender.Renderer):  # type: ignore[misc]
    """Keeps one sample a pixel, since numbers of faces cannot be averaged, and hands depth over as it was drawn."""

    _main_fb_dims: tuple[int | None, int | None]

    def _configure_main_framebuffer(self) -> None:
        size = self.viewport_width, self.viewport_height
        if self._main_fb_dims == size:
            return
        self._delete_main_framebuffer()
        self._main_cb, self._main_db = GL.glGenRenderbuffers(2)
        self._main_fb = self._main_fb_ms = GL.glGenFramebuffers(1)
        GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, self._main_fb)
        for buffer, kind, place in (
            (self._main_cb, GL.GL_RGBA8, GL.GL_COLOR_ATTACHMENT0),
            (self._main_db, GL.GL_DEPTH_COMPONENT32F, GL.GL_DEPTH_ATTACHMENT),
        ):
            GL.glBindRenderbuffer(GL.GL_RENDERBUFFER, buffer)
            GL.glRenderbufferStorage(GL.GL_RENDERBUFFER, kind, *size)
            GL.glFramebufferRenderbuffer(GL.GL_FRAMEBUFFER, place, GL.GL_RENDERBUFFER, buffer)
        self._main_fb_dims = size

    def _delete_main_framebuffer(self) -> None:
        if self._main_fb is not None:
            GL.glDeleteFramebuffers(1, [self._main_fb])
            GL.glDeleteRenderbuffers(2, [self._main_cb, self._main_db])
        self._main_fb = self._main_fb_ms = None
        self._main_fb_dims = (None, None)

    def _read_main_framebuffer(self, scene: Any, flags: int) -> NDArray[Any]:
        width, height = self.viewport_width, self.viewport_height
        GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, self._main_fb)
        if flags & DEPTH:
            depth = GL.glReadPixels(0, 0, width, height, GL.GL_DEPTH_COMPONENT, GL.GL_FLOAT)
            return np.frombuffer(depth, np.float32).reshape(height, width)
        colour = GL.glReadPixels(0, 0, width, height, GL.GL_RGBA, GL.GL_UNSIGNED_BYTE)
        return np.frombuffer(colour, np.uint32).reshape(height, width)
