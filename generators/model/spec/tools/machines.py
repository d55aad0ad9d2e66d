"""What a part is bent on, in the spec's words."""

from __future__ import annotations

from typing import Literal, get_args

Machine = Literal["brake", "folder"]
"""What makes a bend."""

BentOn = Literal["", "brake", "folder", "either"]
"""What a part may be bent on; "" is either where the shop has a folder, else the brake."""

BENT_ON: tuple[BentOn, ...] = get_args(BentOn)
