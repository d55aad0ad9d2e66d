"""``python -m tests.report``: print the bill of checks as a table."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from report import fits, fluid, joints, metal, strength

HEAD = ("room", "what", "published", "ours", "off", "unit", "trust", "source")


def main() -> int:
    """Print every check; 1 where one is off by more than its printing lets it."""
    checks = (*metal.CHECKS, *joints.CHECKS, *strength.CHECKS, *fluid.CHECKS, *fits.CHECKS)
    rows = [HEAD]
    for c in checks:
        mark = "" if c.holds else "  OFF"
        rows.append(
            (
                c.room,
                c.what,
                f"{c.reference:.6g}",
                f"{c.ours():.6g}",
                f"{c.off:+.2g}{mark}",
                c.unit,
                c.trust,
                c.source,
            )
        )
    widths = [max(len(row[k]) for row in rows) for k in range(len(HEAD))]
    for row in rows:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return 0 if all(c.holds for c in checks) else 1


if __name__ == "__main__":
    sys.exit(main())
