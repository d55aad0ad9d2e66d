"""Waived rules for tests of the sheets: codes of real rules, reasons made up, one as long as people write."""

from generators.model.findings import Waived

LONG = (
    "the edge is welded to a doubler of 3 mm that is not drawn; seen and agreed with the shop on the vehicle, "
    "and to be looked at again after the first thousand miles"
)
WAIVED = tuple(
    Waived(code=code, reason=reason)
    for code, reason in (
        ("bend-clearance", "trial part, never fitted"),
        ("drill-path", LONG),
        ("hole-edge-distance", "geprüft"),
        ("hole-in-fold", "trial part, never fitted"),
        ("hole-near-fold", "W" * 150),
        ("hole-off-panel", "žluťoučký důvod"),
        ("part-on-obstacle", "the fuse panel moves 40 mm to the left"),
        ("spanner-on-part", LONG[::-1]),
    )
)
