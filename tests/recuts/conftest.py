"""The same jobs to be cut as for the sheets: a recut begins on one."""

from __future__ import annotations

from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

_spec = spec_from_file_location("cutting_shop", Path(__file__).parents[1] / "sheets" / "conftest.py")
_shop = module_from_spec(_spec)
_spec.loader.exec_module(_shop)

cutting = _shop.cutting
