"""Jobs drawn at random, their paper made without the kernel and read back: nothing here is a real vehicle."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import count
from pathlib import Path

from generators.errors import SpecError
from generators.issue.work import Order, carry_out
from generators.jobs.make.run import artefacts
from generators.parts import KINDS
from generators.solve.job import Prepared, prepare
from generators.solve.reach import with_reach

PAPERS = ("A4", "A3", "letter", "tabloid", "both", "roll:610 mm", "roll:24 in")
PAPER_KINDS = (
    "template_pdf",
    "template_dxf",
    "patches_pdf",
    "part_drawing",
    "setup_sheet",
    "profile_sheet",
    "inspection_sheet",
    "report",
    "install_sheet",
    "print_me_pdf",
)
LARGE_TYPE = 1.4
MOST_WAIVED = 8
SPECS = Path(__file__).parents[2] / "specs"
SHOP = SPECS / "shop.toml"
SHEETS = (("1008 steel", "3 mm"), ("1008 steel", "2 mm"), ("S235 steel", "4 mm"), ("5052-H32", "2.5 mm"))
FACES = ("cab", "engine")
WORDS = ("old", "heater pipe", "wiring loom of the lamps", "throttle rod", "Zug für die Kupplung")
TITLES = (
    "Toy job, invented",
    "A toy job with as long a title as the reader takes, invented",
    "Erfundener Pritschenwagen, Öl & Bremse",
)
REASONS = (
    "trial part, never fitted",
    "the edge is welded to a doubler of 3 mm that is not drawn; seen and agreed with the shop on the "
    "vehicle, and to be looked at again after the first thousand miles",
    "geprüft",
)


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """One job as drawn, and how it is to be printed."""

    text: str
    paper: str
    type_scale: float
    reason: str


def _mm(value: float) -> str:
    return f'"{value:.2f} mm"'


def _at(u: float, v: float) -> str:
    return f"{{ u = {_mm(u)}, v = {_mm(v)} }}"


def _existing(rng: random.Random, k: int, u: float, v: float) -> str:
    action = rng.choice(("keep", "keep", "keep", "blank", "reuse"))
    diameter = rng.choice((3.0, 6.0, 6.0, 9.5, 12.7, 16.0, 25.4, 38.0, 70.0, 120.0))
    slot = ""
    if diameter < 20 and rng.random() < 0.3:
        long, turned = rng.uniform(1.2, 3.0) * diameter, rng.choice((0, 90, 37, -20))
        slot = f'length = {_mm(long)}\nangle = "{turned} deg"\n'
    return (
        f'[[panel.existing]]\nname = "old_{k}"\nat = [{_mm(u)}, {_mm(v)}]\ndiameter = {_mm(diameter)}\n'
        f'{slot}action = "{action}"\nwhat = "{rng.choice(WORDS)}"\n'
    )


def _hole(rng: random.Random, k: int, u: float, v: float) -> str:
    kind = rng.choice(("bolt", "bulkhead", "grommet", "plain", "insert", "weld_nut", "stud", "countersunk"))
    more = {
        "bolt": f'thread = "{rng.choice(("M5", "M8", "1/4"))}"',
        "bulkhead": f"dash = {rng.choice((3, 4, 6))}",
        "grommet": f"diameter = {_mm(rng.choice((14.0, 25.4, 40.0)))}",
        "plain": f"diameter = {_mm(rng.choice((2.4, 5.0, 11.0, 60.0)))}",
        "insert": 'diameter = "9 mm"\nthread = "M6"\ngrip = ["0.5 mm", "3 mm"]',
        "weld_nut": f'thread = "M8"\ndiameter = "10 mm"\nweld_face = "{rng.choice(FACES)}"',
        "stud": f'thread = "M6"\nlength = "18 mm"\nweld_face = "{rng.choice(FACES)}"',
        "countersunk": f'thread = "1/4"\nhead = "1/2 in"\nhead_angle = "82 deg"\nnut_face = "{rng.choice(FACES)}"',
    }[kind]
    return (
        f'[[panel.hole]]\nname = "own_{k}"\nkind = "{kind}"\n{more}\npurpose = "{rng.choice(WORDS)}"\n'
        f'at = {_at(u, v)}\ndrill_from = "{rng.choice(FACES)}"\n'
    )


def _obstacle(rng: random.Random, k: int, u: float, v: float) -> str:
    where = (
        f"corner = [{_mm(u)}, {_mm(v)}]\nsize = [{_mm(rng.uniform(20, 250))}, {_mm(rng.uniform(10, 150))}]"
        if rng.random() < 0.7
        else f"centre = [{_mm(u)}, {_mm(v)}]\ndiameter = {_mm(rng.uniform(20, 150))}"
    )
    return (
        f'[[panel.obstacle]]\nname = "thing_{k}"\nface = "{rng.choice(FACES)}"\nwhat = "{rng.choice(WORDS)}"\n'
        f'{where}\ngap = "{rng.choice((0, 5, 40))} mm"\ndepth = "{rng.choice((15, 60, 200))} mm"\n'
    )


def _panels(rng: random.Random, width: float, up: float, down: float, sparse: bool, least: int) -> str:
    text = ""
    for name, title, low, high, tilt in (
        ("firewall", "Firewall", 0.0, up, 0),
        ("toe_board", "Toe board with the pedals in it", -down, 0.0, rng.choice((45, 30, -20))),
    ):
        text += (
            f'\n[[panel]]\nname = "{name}"\ntitle = "{title}"\nmaterial = "mild steel"\n'
            f'thickness = "{rng.choice((1.2, 2.0))} mm"\norigin = ["0 mm", "0 mm", "600 mm"]\n'
            f'tilt = "{tilt} deg"\noutline = [["0 mm", {_mm(low)}], [{_mm(width)}, {_mm(low)}], '
            f'[{_mm(width)}, {_mm(high)}], ["0 mm", {_mm(high)}]]\n'
        )
        few = 1 if sparse else 6
        # some right beside the fold, where paper of two faces differs
        for k in range(rng.randint(least, least + few)):
            v = rng.uniform(low + 5, high - 5) if rng.random() < 0.6 else rng.choice((25.0, 40.0))
            v = -abs(v) if low < 0 else abs(v)
            text += _existing(rng, k, rng.uniform(10, width - 10), v)
        for k in range(rng.randint(least // 2, least // 2 + few // 2 + 1)):
            text += _hole(rng, k, rng.uniform(25, width - 25), rng.uniform(low + 25, high - 25))
        for k in range(rng.randint(0, few // 2)):
            text += _obstacle(rng, k, rng.uniform(0, width - 30), rng.uniform(low, high - 30))
    return text + '\n[[fold]]\npanels = ["firewall", "toe_board"]\ninside_radius = "6 mm"\n'


def _mount(rng: random.Random, table: str, width: float, up: float, down: float) -> str:
    panel = rng.choice(("firewall", "firewall", "toe_board"))
    v = rng.uniform(60, up - 60) if panel == "firewall" else rng.uniform(-down + 60, -60)
    turn = rng.choice((0, 0, 0, 90, -30))
    return (
        f'[{table}]\npanel = "{panel}"\nface = "{rng.choice(FACES)}"\n'
        f"at = {_at(rng.uniform(80, width - 80), v)}\n" + (f'rotate = "{turn} deg"\n' if turn else "")
    )


def _part(
    rng: random.Random, k: int, kind: str, printed: bool, follows: bool, room: tuple[float, ...]
) -> str:
    material, thickness = ("PLA", "12 mm") if printed else rng.choice(SHEETS)
    text = (
        f'\n[[part]]\nname = "part_{k}"\ntitle = "{kind.replace("_", " ").capitalize()}, invented"\n'
        f'kind = "{kind}"\nmaterial = "{material}"\nthickness = "{thickness}"\n'
    )
    hand = rng.random()
    text += "mirror = true\n" if hand < 0.2 and not follows else ""
    text += "[part.parameters]\n" if rng.random() < 0.3 else ""
    text += _mount(rng, "part.mount", *room)
    if 0.2 <= hand < 0.45 and not follows:
        text += f'[part.opposite]\nname = "part_{k}_other"\n' + _mount(rng, "part.opposite.mount", *room)
    return text


def drawn_job(seed: int, kind: str = "", paper: str = "") -> Drawn:
    """The job of a seed, always the same; small when it is asked for one ``kind`` of bracket."""
    rng = random.Random(seed)
    width, up, down = rng.uniform(450, 1000), rng.uniform(250, 700), rng.uniform(150, 400)
    # every kind comes up in turn, the rest as it falls
    first = next((f for f in KINDS if f.name == kind), KINDS[seed % len(KINDS)])
    more = 0 if kind else rng.choice((0, 0, 1, 2))
    chosen = [first, *(rng.choice(KINDS) for _ in range(more))]
    text = f'[job]\nname = "toy"\ntitle = "{rng.choice(TITLES)}"\n'
    # what follows its panel needs holes there to follow
    least = 2 if any(item.plan_on is not None for item in chosen) else 0
    text += _panels(rng, width, up, down, bool(kind) or rng.random() < 0.5, least)
    for k, item in enumerate(chosen):
        text += _part(rng, k, item.name, item.printed, item.plan_on is not None, (width, up, down))
    paper = paper or rng.choice(PAPERS)
    return Drawn(text=text, paper=paper, type_scale=rng.choice((1.0, LARGE_TYPE)), reason=rng.choice(REASONS))


def small_job(seed: int) -> Drawn:
    """A job of a small panel or two with a few holes, no parts: some narrower than a hole they have."""
    rng = random.Random(seed)
    text = f'[job]\nname = "toy"\ntitle = "{rng.choice(TITLES)}"\n'
    for name, title in (("cover", "Access cover"), ("gusset", "Gusset"))[: rng.choice((1, 1, 2))]:
        width, high = rng.choice((rng.uniform(25, 110), rng.uniform(60, 300))), rng.uniform(25, 200)
        if rng.random() < 0.3:
            width, high = high, width
        text += (
            f'\n[[panel]]\nname = "{name}"\ntitle = "{title}"\nmaterial = "mild steel"\nthickness = "2.0 mm"\n'
            f'origin = ["0 mm", "0 mm", "{0 if name == "cover" else 900} mm"]\noutline = [["0 mm", "0 mm"], '
            f'[{_mm(width)}, "0 mm"], [{_mm(width)}, {_mm(high)}], ["0 mm", {_mm(high)}]]\n'
        )
        draw = (_existing, _hole, _hole)
        for k in range(rng.randint(1, 5)):
            text += rng.choice(draw)(rng, k, rng.uniform(0, width), rng.uniform(0, high))
    return Drawn(
        text=text,
        paper=rng.choice(PAPERS),
        type_scale=rng.choice((1.0, 1.0, LARGE_TYPE)),
        reason=rng.choice(REASONS),
    )


def released(drawn: Drawn, folder: Path) -> Prepared | None:
    """The job with its failed rules waived; None for one no reader takes, or with more than eight codes."""
    for name in (SHOP.name, "shelf.toml"):
        shutil.copyfile(SPECS / name, folder / name)
    spec = folder / "toy.toml"
    spec.write_text(drawn.text, encoding="utf-8")
    try:
        failed = sorted({f.code for f in prepare(spec).findings if f.blocks})
        if len(failed) > MOST_WAIVED:
            return None
        prepared = prepare(spec, dict.fromkeys(failed, drawn.reason)) if failed else prepare(spec)
    except SpecError:
        return None
    return replace(with_reach(prepared), type_scale=drawn.type_scale)


def said_of_random_jobs(
    first: int, many: int, folder: Path, say: Callable[[Prepared, str, Path], list[str]]
) -> list[str]:
    """What ``say`` finds wrong with so many released jobs, seeds from ``first`` on, each in a folder of its own."""
    bad: list[str] = []
    done = 0
    for seed in count(first):
        drawn = drawn_job(seed)
        place = folder / str(seed)
        place.mkdir()
        prepared = released(drawn, place)
        if prepared is None:
            continue
        bad += [f"seed {seed}: {text}" for text in say(prepared, drawn.paper, place)]
        done += 1
        if done == many:
            break
    return bad


def refusals(prepared: Prepared, paper: str, folder: Path, sheet: str = "") -> Iterator[str]:
    """What ``make`` would refuse of the job's paper: every sheet written, then read back.

    With ``sheet`` only those with this in their path; ``AssertionError`` where there is none.
    """
    sheets = [a for a in artefacts(prepared, paper) if a.entry.kind in PAPER_KINDS and sheet in a.entry.path]
    assert sheets, sheet
    done = [
        carry_out(sheet, Order(index=k, folder=folder, revision=prepared.file.revision, found=folder))
        for k, sheet in enumerate(sheets)
    ]
    yield from (f"{d.path}: {problem}" for d in done for problem in d.reading.problems)
