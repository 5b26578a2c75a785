"""DXF in, a Drawing out. `reader` is the door; the rest are its rooms: file, walk and layers, curves, rings, overlaps, parts."""

from .reader import read_dxf

__all__ = ["read_dxf"]
