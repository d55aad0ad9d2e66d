"""Plain letters for a terminal whose encoding has no ×, Ø, – or ≤: an error handler for codecs."""

from __future__ import annotations

import codecs
import unicodedata

HANDLER = "pedalplate-plain"

_WORDS = {
    "×": "x",
    "÷": "/",
    "−": "-",
    "–": "-",
    "—": "-",
    "±": "+/-",
    "°": " deg",
    "·": ".",
    "•": "*",
    "⌀": "dia ",
    "→": "->",
    "⚠": "!",
    "✓": "done",
    "←": "<-",
    "≤": "<=",
    "≥": ">=",
    "≠": "!=",
    "≈": "~",
    "∞": "inf",
    "√": "sqrt",
    "∫": "integral ",
    "µ": "u",
    "⁄": "/",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "«": '"',
    "»": '"',
    "ß": "ss",
    "æ": "ae",
    "Æ": "AE",
    "œ": "oe",
    "Œ": "OE",
    "ø": "o",
    "ł": "l",
    "Ł": "L",
    "đ": "d",
    "Đ": "D",
    "ð": "d",
    "Ð": "D",
    "þ": "th",
    "Þ": "Th",
    "ı": "i",
}


def plain_letter(text: str, at: int) -> str:
    """What stands for the letter ``text[at]`` in plain ASCII; a backslash escape as the last resort."""
    letter = text[at]
    if letter == "Ø":
        return _diameter_or_letter(text[at + 1 : at + 3])
    if letter in _WORDS:
        return _WORDS[letter]
    name = unicodedata.name(letter, "")
    if name.startswith(("GREEK SMALL LETTER ", "GREEK CAPITAL LETTER ")):
        word = name.split()[3].lower().replace("lamda", "lambda")
        return word.capitalize() if " CAPITAL " in name else word
    if name.startswith("BOX DRAWINGS "):
        return {"HORIZONTAL": "-", "VERTICAL": "|"}.get(name.split()[-1] if name.count(" ") == 3 else "", "+")
    return _taken_apart(letter) or _escaped(letter)


def _diameter_or_letter(after: str) -> str:
    """``Ø8`` and ``Ø 8`` are a diameter; in a name it is a letter."""
    if after[:1].isdigit():
        return "dia "
    return "dia" if after[:1].isspace() and after[1:].isdigit() else "O"


def _taken_apart(letter: str) -> str:
    """The letter without its accent, the digit of a superscript; empty when that is not ASCII."""
    kind = unicodedata.category(letter)
    if kind in {"Pd", "Zs"}:
        return "-" if kind == "Pd" else " "
    parts = (c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
    plain = "".join(_WORDS.get(c, c) for c in parts)
    return plain if plain.isascii() and plain.isprintable() else ""


def _escaped(letter: str) -> str:
    code = ord(letter)
    if 0xDC80 <= code <= 0xDCFF:
        return f"\\x{code - 0xDC00:02x}"  # a byte of a file name that was not UTF-8
    if code <= 0xFF:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def _handle(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    letters = range(error.start, error.end)
    return "".join(plain_letter(error.object, at) for at in letters), error.end


def register() -> str:
    """Make the handler known to the codecs; returns its name, for ``errors=``."""
    codecs.register_error(HANDLER, _handle)
    return HANDLER
