"""The tables of the register, layout by layout; each is what turns the one before it into it.

A layout that was once in use is never changed: a new one is added.
"""

from __future__ import annotations

APPLICATION = 0x70656462
"""SQLite's ``application_id``: tells a register from any other database."""

FIRST = """
CREATE TABLE content (
    id INTEGER PRIMARY KEY,
    job TEXT NOT NULL, title TEXT NOT NULL, variant TEXT NOT NULL,
    letter TEXT NOT NULL, issued TEXT NOT NULL, revision TEXT NOT NULL,
    spec TEXT NOT NULL, numbers TEXT NOT NULL,
    UNIQUE (job, variant, letter, revision)
);
CREATE TABLE kept (
    content INTEGER NOT NULL REFERENCES content, path TEXT NOT NULL, data BLOB NOT NULL,
    PRIMARY KEY (content, path)
);
CREATE TABLE kit (
    serial TEXT PRIMARY KEY, letters TEXT NOT NULL, number INTEGER NOT NULL,
    buyer TEXT NOT NULL, content INTEGER NOT NULL REFERENCES content, day TEXT NOT NULL,
    UNIQUE (letters, number)
);
CREATE TABLE pack (
    serial TEXT NOT NULL REFERENCES kit, path TEXT NOT NULL, sha256 TEXT NOT NULL,
    PRIMARY KEY (serial, path)
);
"""

ENTRIES = """
CREATE TABLE entry (
    id INTEGER PRIMARY KEY,
    serial TEXT NOT NULL REFERENCES kit,
    kind TEXT NOT NULL CHECK (kind IN ('note', 'measured', 'back')),
    day TEXT NOT NULL, words TEXT NOT NULL, file TEXT NOT NULL, data BLOB NOT NULL
);
CREATE INDEX kit_buyer ON kit (buyer);
"""

LAYOUTS = (FIRST, ENTRIES)
"""``user_version`` n is what the first n of these make."""
