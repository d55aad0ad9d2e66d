"""What ezdxf, and shapely on what it read, raise on files that are not DXF or only begin as one."""

from __future__ import annotations

import struct

from ezdxf.lldxf.const import DXFError
from shapely.errors import ShapelyError

DXF_UNREADABLE = (
    OSError,
    DXFError,
    ShapelyError,
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    RuntimeError,
    StopIteration,
    TypeError,
    ValueError,
    struct.error,
)
