"""What a file of each kind is certified for, measured on the file alone: no plan is asked here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from generators.verify.readback import Mark

if TYPE_CHECKING:
    # slow to load, and files without a mesh have certificates too
    import trimesh


def counted(count: int, what: str) -> str:
    """``1 hole``, ``2 holes``."""
    return f"{count} {what}{'' if count == 1 else 's'}"


def box_marks(extents: Sequence[float]) -> list[Mark]:
    """Extents in mm, one word for all and one value for each axis."""
    words = " x ".join(f"{float(e):.2f}" for e in extents) + " mm"
    keys = ("box_x_mm", "box_y_mm", "box_z_mm")
    return [
        Mark(key=key, value=round(float(e), 4), words=words if key == keys[0] else "")
        for key, e in zip(keys, extents, strict=True)
    ]


def mesh_certificate(mesh: trimesh.Trimesh) -> tuple[Mark, ...]:
    """A mesh for a printer: watertight, bodies, triangles, volume, extents; the unit is the file's mm."""
    tight = bool(mesh.is_watertight and mesh.is_winding_consistent)
    volume = float(mesh.volume)
    return (
        Mark(key="watertight", value=tight, words="watertight" if tight else "NOT watertight"),
        Mark(key="units", value="mm", words="mm"),
        Mark(key="bodies", value=int(mesh.body_count), words=f"bodies: {int(mesh.body_count)}"),
        Mark(key="triangles", value=len(mesh.faces), words=f"{len(mesh.faces)} triangles"),
        Mark(key="volume_mm3", value=round(volume, 3), words=f"volume {volume:.1f} mm3"),
        *box_marks(mesh.extents),
    )


def solid_certificate(
    *, solids: int, valid: bool, volume_mm3: float, round_faces: int, extents: Sequence[float], unit: str
) -> tuple[Mark, ...]:
    """A STEP file: one valid solid, its volume, round faces that stayed round, extents."""
    sound = valid and solids == 1
    return (
        Mark(
            key="valid_solid",
            value=sound,
            words="one valid solid" if sound else f"NOT one valid solid ({solids} found)",
        ),
        Mark(key="units", value=unit, words=unit),
        Mark(key="round_faces", value=round_faces, words=counted(round_faces, "round face")),
        Mark(key="volume_mm3", value=round(volume_mm3, 3), words=f"volume {volume_mm3:.1f} mm3"),
        *box_marks(extents),
    )
