"""Specs that are broken in what one table says of another."""

from __future__ import annotations

from specs import BASE, Broken, swapped

_HOLE = """
[[panel.hole]]
name = "extra{0}"
at = {{ u = "1 mm", v = "1 mm" }}
kind = "plain"
diameter = "5 mm"
purpose = "Many of them"
"""
_OUTLINE = '["508 mm", "-250 mm"], ["0 mm", "-250 mm"]'
_BOX = 'corner = ["400 mm", "200 mm"]\nsize = ["60 mm", "80 mm"]'

REFERENCES = (
    swapped("optional-key-with-typo", "dash = 4", "dahs = 4", "panel[0].hole[0].dahs", "unknown key"),
    swapped(
        "panel-twice",
        '"toe_board"\ntitle',
        '"firewall"\ntitle',
        "panel[1].name",
        "again",
        '"firewall"\ntitle = "Toe',
        alone=False,
    ),
    swapped("hole-twice", '"clamp"', '"line_out"', "panel[0].hole[1].name", "again", ""),
    swapped("hole-like-a-datum", '"loom"', '"seam"', "panel[0].hole[2].name", "again", ""),
    swapped(
        "datum-like-an-edge",
        '"seam"\nkind',
        '"left"\nkind',
        "panel[0].datum[0].name",
        "reserved",
        alone=False,
    ),
    swapped("device-name", '"toy_job"', '"con"', "job.name", "every system"),
    swapped(
        "unknown-datum", 'from = "column_bore"', 'from = "column_bor"', "panel[0].hole[0].at.from", "unknown"
    ),
    swapped(
        "v-from-a-vertical", 'v_from = "bottom"', 'v_from = "seam"', "panel[0].hole[1].at.v_from", "no v"
    ),
    swapped(
        "u-from-an-edge-along-u", 'u_from = "seam"', 'u_from = "top"', "panel[0].hole[1].at.u_from", "no u"
    ),
    swapped(
        "three-datums", "u_from =", 'from = "left", u_from =', "panel[0].hole[1].at.from", "two of the three"
    ),
    swapped(
        "unknown-witness-hole",
        'witness_hole = "column_bore"',
        'witness_hole = "seam"',
        "panel[0].witness_hole",
        "existing",
    ),
    swapped("mount-nowhere", 'panel = "firewall"', 'panel = "fire_wall"', "part[0].mount.panel", "unknown"),
    swapped(
        "fold-nowhere", '["firewall", "toe_board"]', '["firewall", "roof"]', "fold[0].panels[1]", "unknown"
    ),
    swapped(
        "fold-to-itself",
        '["firewall", "toe_board"]',
        '["firewall", "firewall"]',
        "fold[0].panels",
        "different",
    ),
    swapped(
        "bolt-without-thread",
        'thread = "5/16"\n',
        "",
        "panel[0].hole[1].thread",
        "no key",
        '[[panel.hole]]\nname = "clamp"',
    ),
    swapped(
        "bolt-of-no-table", 'thread = "5/16"', 'thread = "M7"', "panel[0].hole[1].thread", "clearance table"
    ),
    swapped(
        "bolt-with-diameter",
        'thread = "5/16"',
        'thread = "5/16"\ndiameter = "8 mm"',
        "panel[0].hole[1].diameter",
        "only thread",
        'diameter = "8 mm"',
    ),
    swapped("bulkhead-dash-7", "dash = 4", "dash = 7", "panel[0].hole[0].dash", "3, 4, 5, 6, 8"),
    swapped(
        "fit-of-a-grommet",
        'diameter = "22 mm"',
        'diameter = "22 mm"\nfit = "close"',
        "panel[0].hole[2].fit",
        "only diameter",
        'fit = "close"',
    ),
    swapped(
        "insert-without-grip",
        'kind = "grommet"',
        'kind = "insert"\nthread = "M6"',
        "panel[0].hole[2].grip",
        "no key",
        "",
    ),
    swapped(
        "limits-that-the-hole-is-not-in",
        'diameter = "22 mm"',
        'diameter = "22 mm"\nlimits = ["20 mm", "21.9 mm"]',
        "panel[0].hole[2].limits",
        "limits that its 22 mm lies within",
        "limits = ",
    ),
    swapped(
        "limits-the-wrong-way-round",
        'diameter = "22 mm"',
        'diameter = "22 mm"\nlimits = ["23 mm", "21 mm"]',
        "panel[0].hole[2].limits",
        "the least diameter, above 0 mm, then the greatest",
        "limits = ",
    ),
    swapped(
        "insert-of-one-grip",
        'kind = "grommet"',
        'kind = "insert"\nthread = "M6"\ngrip = ["3 mm", "0.5 mm"]',
        "panel[0].hole[2].grip",
        "the least sheet it grips",
        "grip = ",
    ),
    swapped(
        "insert-wider-than-its-hole",
        'kind = "grommet"\ndiameter = "22 mm"',
        'kind = "insert"\nthread = "M6"\ngrip = ["0.5 mm", "3 mm"]\ndiameter = "6 mm"',
        "panel[0].hole[2].diameter",
        "wider than its 6 mm thread",
        'diameter = "6 mm"',
    ),
    swapped(
        "slot-shorter-than-wide",
        'diameter = "52 mm"',
        'diameter = "52 mm"\nlength = "50 mm"',
        "panel[0].existing[0].length",
        "more than its width of 52 mm",
        'length = "50 mm"',
    ),
    swapped(
        "hole-of-a-part-that-is-kept",
        'diameter = "52 mm"',
        'diameter = "52 mm"\nserves = "hanger"\nserves_hole = "mount_1"',
        "panel[0].existing[0].action",
        '"reuse": a bolt of the part goes through it',
        "",
    ),
    swapped(
        "opened-for-no-part",
        'diameter = "52 mm"',
        'diameter = "52 mm"\nopen_to = "55 mm"',
        "panel[0].existing[0].open_to",
        "`serves` and `serves_hole`",
        'open_to = "55 mm"',
    ),
    swapped(
        "opened-to-less",
        'diameter = "52 mm"',
        'diameter = "52 mm"\naction = "reuse"\nserves = "hanger"\nserves_hole = "mount_1"\nopen_to = "50 mm"',
        "panel[0].existing[0].open_to",
        "more than the 52 mm it has",
        'open_to = "50 mm"',
    ),
    swapped(
        "weld-nut-without-its-face",
        'kind = "grommet"',
        'kind = "weld_nut"\nthread = "M6"',
        "panel[0].hole[2].weld_face",
        "no key",
        "",
    ),
    swapped(
        "stud-of-a-diameter",
        'kind = "grommet"',
        'kind = "stud"\nthread = "M6"\nweld_face = "cab"\nlength = "20 mm"',
        "panel[0].hole[2].diameter",
        "only thread, weld_face, length",
        'diameter = "22 mm"',
    ),
    swapped(
        "nut-on-the-head",
        'kind = "grommet"\ndiameter = "22 mm"',
        'kind = "countersunk"\nthread = "M6"\nhead = "12 mm"\nnut_face = "both"',
        "panel[0].hole[2].nut_face",
        "the head is flush with the other face",
        'nut_face = "both"',
    ),
    swapped(
        "head-narrower-than-its-hole",
        'kind = "grommet"\ndiameter = "22 mm"',
        'kind = "countersunk"\nthread = "M6"\nhead = "6.6 mm"\nnut_face = "cab"',
        "panel[0].hole[2].head",
        "more than its hole of 6.6 mm",
        'head = "6.6 mm"',
    ),
    swapped(
        "bolt-without-a-nut", 'thread = "5/16"', 'thread = "M3"', "panel[0].hole[1].thread", "table of bolts"
    ),
    swapped(
        "obstacle-of-no-size",
        'size = ["60 mm", "80 mm"]',
        'size = ["60 mm", "0 mm"]',
        "panel[0].obstacle[0].size[1]",
        "above 0 mm",
    ),
    swapped("obstacle-of-no-shape", _BOX, "", "panel[0].obstacle[0]", "no shape", "[[panel.obstacle]]"),
    swapped(
        "obstacle-of-two-shapes",
        _BOX,
        f'{_BOX}\ncentre = ["1 mm", "1 mm"]\ndiameter = "9 mm"',
        "panel[0].obstacle[0].centre",
        "a circle beside a box",
        "centre =",
    ),
    swapped(
        "half-a-box",
        _BOX,
        'corner = ["400 mm", "200 mm"]',
        "panel[0].obstacle[0].size",
        "no key",
        "[[panel.obstacle]]",
    ),
    swapped(
        "bead-of-no-length",
        'end = ["450 mm", "20 mm"]',
        'end = ["150 mm", "20 mm"]',
        "panel[0].bead[0].end",
        "no length",
    ),
    swapped(
        "crossing-outline",
        _OUTLINE,
        '["0 mm", "-250 mm"], ["508 mm", "-250 mm"]',
        "panel[1].outline[1]",
        "side 2 (corner 2 to 3) crossing side 4 (corner 4 to 1)",
    ),
    swapped("flat-outline", _OUTLINE, '["600 mm", "0 mm"]', "panel[1].outline[0]", "one line"),
    swapped(
        "closed-twice", _OUTLINE, f'{_OUTLINE}, ["0 mm", "0 mm"]', "panel[1].outline[4]", "first corner again"
    ),
    swapped("two-corners", _OUTLINE, '["508 mm", "0 mm"]', "panel[1].outline[0]", "2 distinct corners"),
    swapped(
        "outline-folding-back",
        _OUTLINE,
        '["508 mm", "-250 mm"], ["508 mm", "-100 mm"]',
        "panel[1].outline[2]",
        "side 3 running back over side 2",
        alone=False,
    ),
    swapped(
        "unknown-material", '"S235 steel"', '"S253 steel"', "part[0].material", "a material of the table"
    ),
    swapped("part-named-panel", '"hanger"', '"panel"', "part[0].name", "reserved"),
    swapped(
        "shop-climbs-out",
        '"Toy job"',
        '"Toy job"\nshop = "../shop.toml"',
        "job.shop",
        "beside the spec",
        'shop = "../',
    ),
    swapped(
        "shop-at-the-root",
        '"Toy job"',
        '"Toy job"\nshop = "/etc/passwd"',
        "job.shop",
        "beside the spec",
        'shop = "/etc',
    ),
    swapped(
        "shop-elsewhere",
        '"Toy job"',
        '"Toy job"\nshop = "C:shop.toml"',
        "job.shop",
        "beside the spec",
        'shop = "C:',
    ),
    swapped(
        "shop-not-there",
        '"Toy job"',
        '"Toy job"\nshop = "other.toml"',
        "job.shop",
        "which is not there",
        'shop = "other',
    ),
    Broken(
        id="holes-without-end",
        text=BASE + "[[panel]]\nname = 'p'\n" + "".join(_HOLE.format(n) for n in range(600)),
        path="panel[2].hole",
        says="a list of 600",
        mark='[[panel.hole]]\nname = "extra0"',
        alone=False,
    ),
)
