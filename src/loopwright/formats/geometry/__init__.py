"""Geometry of a body from the engineer's own files: surfaces of triangles and volumes of labels."""

from loopwright.formats.geometry.folder import FolderGeometry

__all__ = ["FolderGeometry"]
