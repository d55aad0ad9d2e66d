"""What the keys of the box-and-pan folder say of each other."""

from __future__ import annotations

import math

from generators.model.spec.tools.folder import Folder
from generators.reading.keys.outlines import outline_faults
from generators.reading.toml import words
from generators.reading.toml.paths import Path
from generators.reading.toml.tables import TableReader

FOLDER: Path = ("folder",)
SAME_MM = 0.01


def check_folder(reader: TableReader) -> None:
    """Report fingers that are none, outlines that lie elsewhere, and a leaf that turns into its nose."""
    folder = reader.built.get(FOLDER)
    if not isinstance(folder, Folder):
        return
    for index, finger in enumerate(folder.fingers_mm):
        if not 1.0 <= finger <= folder.length_mm:
            most = words.millimetres(folder.length_mm)
            wanted = f"a finger of 1 mm to {most}, the folder's length"
            reader.refuse((*FOLDER, "fingers", index), words.millimetres(finger), wanted)
    _nose(reader, folder)
    for name, points in (("beam", folder.beam), ("bed", folder.bed)):
        for fault in outline_faults(points):
            reader.refuse((*FOLDER, name, fault.corner), fault.found, fault.expected, fault.hint)
    low, high = min(z for _, z in folder.beam), max(z for _, z in folder.bed)
    if abs(low) > SAME_MM:
        wanted = "a lowest point at 0 mm, the top of the fingers"
        reader.refuse((*FOLDER, "beam"), f"{words.millimetres(low)} up", wanted)
    front = min((y for y, z in folder.bed if z > high - SAME_MM), default=math.inf)
    if abs(high) > SAME_MM or abs(front) > SAME_MM:
        found = f"a top {words.millimetres(high)} up that begins {words.millimetres(front)} back"
        reader.refuse((*FOLDER, "bed"), found, "a top at 0 mm that begins at 0 mm, the front of the bend")
    if folder.stop.nearest_mm >= folder.stop.reach_mm:
        reader.refuse(
            (*FOLDER, "stop", "nearest"), words.millimetres(folder.stop.nearest_mm), "less than reach"
        )
    for index, row in enumerate(folder.capacity):
        if row.length_mm > folder.length_mm + SAME_MM:
            wanted = f"at most its length, {words.millimetres(folder.length_mm)}"
            path = (*FOLDER, "capacity", index, "length")
            reader.refuse(path, words.millimetres(row.length_mm), wanted)


def _nose(reader: TableReader, folder: Folder) -> None:
    rises = folder.nose_depth_mm * math.tan(folder.nose_angle_rad)
    if folder.nose_depth_mm >= folder.finger_depth_mm:
        found = words.millimetres(folder.nose_depth_mm)
        reader.refuse((*FOLDER, "nose_depth"), found, "less than finger_depth")
    elif folder.nose_angle_rad < math.radians(89.9) and rises > folder.finger_height_mm + SAME_MM:
        most = folder.finger_height_mm / math.tan(folder.nose_angle_rad)
        wanted = f"at most {words.millimetres(math.floor(most))}: it leans until the top of the finger"
        reader.refuse((*FOLDER, "nose_depth"), words.millimetres(folder.nose_depth_mm), wanted)
    if 2 * folder.nose_radius_mm > min(folder.finger_height_mm, folder.finger_depth_mm):
        found = words.millimetres(folder.nose_radius_mm)
        reader.refuse((*FOLDER, "nose_radius"), found, "less than half a finger's height and depth")
    if folder.leaf_angle_rad + folder.nose_angle_rad > math.pi + 1e-6:
        most = math.degrees(math.pi - folder.nose_angle_rad)
        wanted = f"at most {most:g} deg, where the sheet lies against the front of the fingers"
        reader.refuse((*FOLDER, "leaf_angle"), f"{math.degrees(folder.leaf_angle_rad):g} deg", wanted)
