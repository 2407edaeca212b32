"""Imported: meshes from files of other programs and from scans: read, placed, coloured, thinned out, shaded."""

from preview.build.imported.build import build_imported

__all__ = ["build_imported"]
