"""What goes into which bag and box, on lists and labels, and that a reader notices what is not there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from calling import call
from issue.small import TEXT

from generators.errors import LookupFault, SpecError
from generators.jobs.kit.content import Asked, Content
from generators.model.sold.code import KitCode
from generators.model.spec.selling.kit import Kit, KitBag, KitBox, KitExtra
from generators.model.spec.selling.labels import LabelFormat
from generators.register.store import register_path
from generators.sheets.bill import Item
from generators.sheets.kit.labels import (
    GOES_ON,
    LabelTooSmallError,
    bag_labels,
    plain_format,
    write_labels,
)
from generators.sheets.kit.packing import packed
from generators.sheets.kit.packing_sheet import PackingHead, write_packing_list
from generators.solve.job import prepare
from generators.verify.pdf.kit.packing import KitWanted, read_labels, read_packing_list


def item(bag: str, words: str, count: int, kind: str = "fastener", uses: str = "it") -> Item:
    return Item(kind=kind, item=words, size="", quantity=count, uses=(uses,), bag=bag)  # type: ignore[arg-type]


ITEMS = (
    item("Bracket", "bracket", 1),
    item("Bracket", "bolt M8", 4),
    item("Hoses", "-4 hose", 1, "hose", "Long hose"),
    item("Hoses", "-4 hose end", 2, "end", "Long hose"),
    item("Plate", "rivet", 14),
)
KIT = Kit(
    box=(KitBox(name="one", title="steel"), KitBox(name="two", title="lines")),
    bag=(KitBag(bag="Hoses", box="two"),),
    extra=(
        KitExtra(item="sealant", bag="Hoses"),
        KitExtra(item="drill 8.4", bag="Tools", box="two"),
        KitExtra(item="paper", quantity=3, box="two"),
    ),
)


def test_bags_go_where_the_kit_says_and_else_into_the_first_box() -> None:
    packing = packed(ITEMS, KIT, {"Long hose": "made up, 520 mm"})
    assert [(b.title, [bag.title for bag in b.bags]) for b in packing.boxes] == [
        ("steel", ["Bracket", "Plate"]),
        ("lines", ["Hoses", "Tools"]),
    ]
    assert [bag.number for bag in packing.bags] == [1, 2, 3, 4]
    assert [[t.words for t in box.loose] for box in packing.boxes] == [["1 × packing list"], ["3 × paper"]]
    hoses = packing.bags[2]
    assert [t.words for t in hoses.things] == ["1 × -4 hose", "2 × -4 hose end", "1 × sealant"]
    # what is on a made-up hose is not looked for loose
    assert (hoses.things[0].size, hoses.things[1].uses) == (
        "made up, 520 mm",
        "already on the hose: Long hose",
    )


def test_a_hose_the_shop_cuts_says_how_long_it_comes() -> None:
    packing = packed(ITEMS, KIT, {}, {"Long hose": "comes cut to 470 mm"})
    hoses = packing.bags[2]
    assert hoses.things[0].size == "comes cut to 470 mm"
    # nothing is on its ends yet
    assert hoses.things[1].uses == "Long hose"


def test_a_bag_that_holds_nothing_is_told() -> None:
    with pytest.raises(LookupFault, match="no bag 'Hose'"):
        packed(ITEMS, replace(KIT, bag=(KitBag(bag="Hose"),)))


def small(folder: Path, more: str, shop: str = "") -> Path:
    (folder / "shop.toml").write_text(shop, encoding="utf-8")
    path = folder / "small.toml"
    path.write_text(TEXT + more, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ('[kit]\nserial = "F B"\n', "kit.serial"),
        ('[[kit.box]]\nname = "a"\ntitle = "A"\n[[kit.box]]\nname = "a"\ntitle = "B"\n', "kit.box[1].name"),
        ('[[kit.bag]]\nbag = "x"\nbox = "a"\n', "kit.bag[0].box"),
        ('[[kit.bag]]\nbag = "x"\n[[kit.bag]]\nbag = "x"\n', "kit.bag[1].bag"),
        ('[[kit.extra]]\nitem = "glue"\nbox = "b"\n', "kit.extra[0].box"),
        ('[kit]\nbench = "3 mm"\n', "kit.bench"),
    ],
)
def test_faults_of_a_kit_name_their_key(tmp_path: Path, more: str, path: str) -> None:
    with pytest.raises(SpecError) as caught:
        prepare(small(tmp_path, more))
    assert [f.path for f in caught.value.faults] == [path]


LABEL = """
[labels.bags]
sheet = ["210 mm", "297 mm"]
columns = 2
rows = 6
width = "{width}"
height = "42 mm"
left = "7.5 mm"
top = "20 mm"
across = "99 mm"
"""


@pytest.mark.parametrize(
    ("width", "path"),
    # the second column ends at 7.5 + 99 + width: at the sheet's edge with 103.5, and pitch 99 is met with 99
    [("99 mm", ""), ("99.1 mm", "labels.bags.across")],
)
def test_labels_may_touch_and_not_overlap(tmp_path: Path, width: str, path: str) -> None:
    spec = small(tmp_path, "", LABEL.format(width=width))
    if not path:
        assert prepare(spec).file.shop.labels.bags is not None
        return
    with pytest.raises(SpecError) as caught:
        prepare(spec)
    assert [f.path for f in caught.value.faults] == [path]


@pytest.mark.parametrize(("left", "fits"), [("15 mm", True), ("15.1 mm", False)])
def test_labels_end_on_their_sheet(tmp_path: Path, left: str, fits: bool) -> None:
    # 15 + 99 + 96 = 210
    spec = small(tmp_path, "", LABEL.format(width="96 mm").replace("7.5 mm", left))
    if fits:
        prepare(spec)
        return
    with pytest.raises(SpecError, match="columns"):
        prepare(spec)


def test_an_unknown_bag_is_a_fault_at_its_line(tmp_path: Path) -> None:
    content = Content(
        prepared=prepare(small(tmp_path, '[[kit.bag]]\nbag = "Plat"\n')), asked=Asked(serial="S-0001")
    )
    with pytest.raises(SpecError) as caught:
        content.packing.bags  # noqa: B018
    (fault,) = caught.value.faults
    assert (fault.path, fault.line > 0) == ("kit.bag[0].bag", True)


def test_words_of_a_kit_that_are_also_heads_of_its_list_are_read_as_theirs(tmp_path: Path) -> None:
    """A box spanner lies loose, and a note says that a bag is packed and checked: neither is the list's own head."""
    pytest.importorskip("zxingcpp")
    loose = KitExtra(item="Box spanner 13 mm", box="one"), KitExtra(item="paper", quantity=3, box="two")
    rows = (KitBag(bag="Bracket"), KitBag(bag="Hoses"), KitBag(bag="Plate", note="Packed and checked by two"))
    kit = replace(KIT, extra=loose, bag=rows)
    head = PackingHead(title="A job", code=CODE, facts=("For order 7",))
    path = tmp_path / "list.pdf"
    write_packing_list(
        path, packing=packed(ITEMS, kit), head=head, subject="A job", revision="0a1b2c3", paper="A4"
    )
    bags = {k: [t for t in v if t[1] != "sealant"] for k, v in WANTED.bags.items() if k != "Tools"}
    wanted = replace(WANTED, bags=bags, loose=[(1, "packing list"), (1, "Box spanner 13 mm"), (3, "paper")])
    read = read_packing_list(path, rel="p", title="A job", revision="0a1b2c3", wanted=wanted)
    assert read.problems == ()


CODE = KitCode(serial="FB-0001", letter="", revision="0a1b2c3")
WANTED = KitWanted(
    bags={
        "Bracket": [(1, "bracket"), (4, "bolt M8")],
        "Hoses": [(1, "-4 hose"), (2, "-4 hose end"), (1, "sealant")],
        "Plate": [(14, "rivet")],
        "Tools": [(1, "drill 8.4")],
    },
    loose=[(1, "packing list"), (3, "paper")],
    boxes=["Box 1 of 2: steel", "Box 2 of 2: lines"],
    serial="FB-0001",
    letter="",
    order="order 7",
)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("list") / "packing_list.pdf"
    packing = packed(ITEMS, KIT)
    assert [packing.box_head(box) for box in packing.boxes] == list(WANTED.boxes)
    head = PackingHead(title="A job", code=CODE, facts=("For order 7",))
    write_packing_list(path, packing=packing, head=head, subject="A job", revision="0a1b2c3", paper="A4")
    return path


@pytest.mark.parametrize(
    ("wanted", "problem"),
    [
        (WANTED, ""),
        (replace(WANTED, bags={**WANTED.bags, "Plate": [(4, "rivet")]}), "does not list 4 × rivet"),
        (replace(WANTED, bags={**WANTED.bags, "Bracket": [(1, "bracket")]}), "has 2 lines to tick"),
        (replace(WANTED, bags={**WANTED.bags, "More": [(1, "nut")]}), "has no bag 'More'"),
        (replace(WANTED, loose=[(2, "paper")]), "does not list 2 × paper loose"),
        (replace(WANTED, letter="B"), "has a code of"),
        (replace(WANTED, sizes={"Plate": ["3.2 mm"]}), "bag 'Plate' does not say '3.2 mm'"),
        (replace(WANTED, written={"Plate": ["part number:"]}), "leaves no room for 'part number:'"),
        (replace(WANTED, notes={"Plate": "in a tin"}), "bag 'Plate' does not say 'in a tin'"),
        (replace(WANTED, said=("Bolts, nuts and washers: plated",)), "Bolts, nuts and washers: plated"),
        (replace(WANTED, bags={k: v for k, v in WANTED.bags.items() if k != "Tools"}), "1 of 4, there are 3"),
    ],
)
def test_the_list_is_counted_again(page: Path, wanted: KitWanted, problem: str) -> None:
    pytest.importorskip("zxingcpp")
    read = read_packing_list(page, rel="p", title="A job", revision="0a1b2c3", wanted=wanted)
    assert bool(read.problems) == bool(problem)
    assert problem in "; ".join(read.problems)


def test_a_thing_for_very_many_uses_goes_on_over_the_page(tmp_path: Path) -> None:
    """One row of the list was higher than a page, and ended in a traceback."""
    pytest.importorskip("zxingcpp")
    uses = tuple(f"lining of the wall, strip number {k} counted from the left" for k in range(1, 81))
    nut = replace(item("Wall", "rivet nut", 80), uses=uses)
    path = tmp_path / "long.pdf"
    head = PackingHead(title="A job", code=CODE, facts=())
    packing = packed((nut,), Kit())
    write_packing_list(path, packing=packing, head=head, subject="A job", revision="0a1b2c3", paper="A4")
    wanted = replace(
        WANTED,
        bags={"Wall": [(80, "rivet nut")]},
        loose=[(1, "packing list")],
        boxes=[packing.box_head(box) for box in packing.boxes],
        order="",
    )
    read = read_packing_list(path, rel="p", title="A job", revision="0a1b2c3", wanted=wanted)
    assert read.problems == ()


def test_labels_hold_all_of_a_bag_and_stay_within_their_edges(tmp_path: Path) -> None:
    many = tuple(item("Bracket", f"thing number {k}", k) for k in range(1, 30))
    form = plain_format("A4", (90.0, 46.0))
    labels = bag_labels(packed(many, Kit()), form, "FB-0001, revision 0a1b2c3")
    assert len(labels) > 1
    assert [GOES_ON in label.lines for label in labels] == [True] * (len(labels) - 1) + [False]
    assert sum(label.lines.count(t) for t in ("7 × thing number 7",) for label in labels) == 1
    write_labels(tmp_path / "l.pdf", labels=labels, form=form, title="t", subject="s")
    said = [("Bracket", f"{k} × thing number {k}") for k in range(1, 30)]
    args = {"rel": "l", "revision": "0a1b2c3", "serial": "FB-0001"}
    assert read_labels(tmp_path / "l.pdf", form=form, labels=said, **args).problems == ()  # type: ignore[arg-type]
    more = [*said, ("Bracket", "30 × thing number 30")]
    assert (
        "has no label that says"
        in read_labels(tmp_path / "l.pdf", form=form, labels=more, **args).problems[0]
    )  # type: ignore[arg-type]
    # a sheet whose labels are lower than those that were printed for
    lower = replace(form, height_mm=23.0, down_mm=None)
    assert any(
        "is not within one label" in p
        for p in read_labels(tmp_path / "l.pdf", form=lower, labels=(), **args).problems
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("height", "fits"),
    # 2 x 2 mm of edge, and at 0.6 of the usual letters one line of 3.6 x 1.25, one of 2.8 and one of 2.5:
    # 4 + 0.6 x 1.25 x 8.9 = 10.675
    [(10.68, True), (10.67, False)],
)
def test_letters_shrink_until_a_label_is_too_small(tmp_path: Path, height: float, fits: bool) -> None:
    form = replace(plain_format("A4", (90.0, 46.0)), height_mm=height, down_mm=46.0)
    packing = packed([item("Plate", "rivet", 14)], Kit())
    if not fits:
        with pytest.raises(LabelTooSmallError, match="Bag 1 of 1: Plate"):
            bag_labels(packing, form, "FB-0001")
        return
    labels = bag_labels(packing, form, "FB-0001, revision 0a1b2c3")
    write_labels(tmp_path / "l.pdf", labels=labels, form=form, title="t", subject="s")
    said = [("Bag 1 of 1: Plate", "14 × rivet")]
    read = read_labels(
        tmp_path / "l.pdf", rel="l", form=form, revision="0a1b2c3", labels=said, serial="FB-0001"
    )
    assert read.problems == ()


def test_labels_too_small_are_a_fault_of_the_shop_file(tmp_path: Path) -> None:
    shop = LABEL.format(width="96 mm").replace('height = "42 mm"', 'height = "9 mm"\ndown = "10 mm"')
    content = Content(prepared=prepare(small(tmp_path, "", shop)), asked=Asked(serial="S-0001"))
    with pytest.raises(SpecError) as caught:
        content.labels_of_bags(content.label_format("bags", "A4"), "0a1b2c3")
    (fault,) = caught.value.faults
    assert (fault.path, Path(fault.file).name) == ("labels.bags", "shop.toml")
    # told before a serial is given: an order is not tied to what cannot be made
    assert call("kit", str(tmp_path / "small.toml"), "--for", "order 1") == 3
    assert not register_path(tmp_path).exists()


def test_plain_labels_fit_both_papers() -> None:
    for paper in ("A4", "letter"):
        form: LabelFormat = plain_format(paper, (90.0, 46.0))
        assert (form.columns, form.outlines) == (2, True)
        assert form.left_mm * 2 + form.columns * 90.0 == pytest.approx(form.sheet[0])
        assert form.top_mm > 10
