"""Which tests answer for which room."""

from __future__ import annotations

ROOMS: dict[str, tuple[str, ...]] = {
    "sheetmetal": (
        "tests/sheetmetal",
        "tests/solids/test_folding.py",
        "tests/solids/test_published_folds.py",
        "tests/solids/test_unfolded_from_solid.py",
        "tests/solids/test_slots_from_solid.py",
        "tests/checks/test_fold_limits.py",
    ),
    "layout": ("tests/layout", "tests/checks"),
    "checks": (
        "tests/checks",
        "tests/layout",
        "tests/measure",
        "tests/strength/test_bracket_cases.py",
        "tests/space/test_pedal_swing.py",
        "tests/sheetmetal/test_relieving.py",
        "tests/sheetmetal/test_any_tree.py",
    ),
    "hydraulics": ("tests/hydraulics",),
    "routing": ("tests/routing",),
    "verify": (
        "tests/verify",
        "tests/drawing",
        "tests/solids/test_assembly_bodies.py",
        "tests/solids/test_hose_solids.py",
        "tests/solids/test_written_files.py",
        "tests/sheets/test_pack.py",
        "tests/sheets/test_stock.py",
        "tests/sheets/test_pedal_sheets.py",
        "tests/draft/test_draft.py",
        "tests/nesting",
        "tests/selling/test_price.py",
        "tests/bending/test_beside.py",
        "tests/parts/test_part_welds.py",
        "tests/parts/test_sheet_for_lengths.py",
        "tests/parts/test_weld_gap_limits.py",
        "tests/parts/test_weld_symbols.py",
    ),
}
