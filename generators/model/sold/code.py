"""What the square code on a kit says: serial, issue, check value of the content, and a check of itself."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass

CHECK_DIGITS = 6
NO_LETTER = "none"
SERIAL = re.compile(r"[A-Za-z0-9_]{1,40}-[0-9]{4,7}")
_CODE = re.compile(
    r"serial (?P<serial>\S+); issue (?P<letter>\S+); revision (?P<revision>[0-9a-f]{7}); check (?P<check>\S+)"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class KitCode:
    """One kit: its serial, its issue letter (empty for none), and the check value of its content."""

    serial: str
    letter: str
    revision: str

    @property
    def check(self) -> str:
        """Six hexadecimal digits of SHA-256 (FIPS 180-4) over the words before them."""
        return hashlib.sha256(self._words.encode()).hexdigest()[:CHECK_DIGITS]

    @property
    def _words(self) -> str:
        return f"serial {self.serial}; issue {self.letter or NO_LETTER}; revision {self.revision}"

    @property
    def text(self) -> str:
        """What the code holds: ``serial FB-0001; issue B; revision 7cdb7ba; check 0f3a9c``."""
        return f"{self._words}; check {self.check}"


def read_code(text: str) -> KitCode | None:
    """The kit a scanned code names; None where the text is no such code, or its check does not agree."""
    found = _CODE.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    letter = "" if found["letter"] == NO_LETTER else found["letter"]
    code = KitCode(serial=found["serial"], letter=letter, revision=found["revision"])
    return code if code.check == found["check"] else None


def serial_of(letters: str, number: int) -> str:
    """``FB-0001``."""
    return f"{letters}-{number:04d}"
