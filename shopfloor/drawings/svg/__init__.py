"""SVG in, a Drawing out. `reader` is the door; the rest are its rooms: page, walk, styles and paint, shapes and pen, outlines."""

from .reader import read_svg

__all__ = ["read_svg"]
