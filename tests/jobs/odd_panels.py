"""Jobs of panels alone, drawn at random: any size, outline and lie, in either unit, with all a panel can have."""

from __future__ import annotations

import math
import random

from jobs.paper_jobs import FACES, LARGE_TYPE, PAPERS, REASONS, TITLES, WORDS, Drawn

MM, INCH = 1.0, 25.4
SHEETS = ("1008 steel", "mild steel", "5052-H32", "S235 steel")
NAMES = ("firewall", "floor", "cover", "x")
TITLED = ("Firewall", "Floor over the gearbox, the part that is screwed down", "Deckel", "X")


class Panels:
    """One job's panels as they are drawn; lengths are written in its unit."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(seed)
        self.unit = self.rng.choice(("mm", "mm", "in"))

    def long(self, mm: float) -> str:
        """A length as the job writes it."""
        return f'"{mm:.2f} mm"' if self.unit == "mm" else f'"{mm / INCH:.3f} in"'

    def place(self, u: float, v: float) -> str:
        """A pair of lengths."""
        return f"[{self.long(u)}, {self.long(v)}]"

    def at(self, marks: list[str]) -> str:
        """Where a hole goes, from the origin or from a mark."""
        u, v = self.spot()
        if marks and self.rng.random() < 0.4:
            u, v = self.rng.uniform(-80, 80), self.rng.uniform(-80, 80)
            return f'{{ u = {self.long(u)}, v = {self.long(v)}, from = "{self.rng.choice(marks)}" }}'
        return f"{{ u = {self.long(u)}, v = {self.long(v)} }}"

    def spot(self) -> tuple[float, float]:
        """A place in the box around the panel, now and then outside."""
        u0, v0, u1, v1 = self.box
        return self.rng.uniform(u0 - 2, u1 + 2), self.rng.uniform(v0 - 2, v1 + 2)

    def outline(self) -> list[tuple[float, float]]:
        """A rectangle, one with a corner or a bay cut out, or a star of many corners; about any origin."""
        rng = self.rng
        wide, high = (math.exp(rng.uniform(math.log(30), math.log(1600))) for _ in range(2))
        if rng.random() < 0.5:
            high = min(max(high, wide / 4), wide * 4)
        u, v = rng.uniform(0.2, 0.8) * wide, rng.uniform(0.2, 0.8) * high
        shape = rng.choice(("box", "box", "corner", "bay", "star"))
        corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
        if shape == "corner":
            corners = [(0.0, 0.0), (wide, 0.0), (wide, v), (u, v), (u, high), (0.0, high)]
        if shape == "bay":
            far = u + rng.uniform(0.1, 0.9) * (wide - u)
            corners = [*corners[:3], (far, high), (far, v), (u, v), (u, high), corners[3]]
        if shape == "star":
            turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(rng.randint(5, 12)))
            corners = [
                (
                    wide / 2 * (1 + math.cos(t) * rng.uniform(0.4, 1)),
                    high / 2 * (1 + math.sin(t) * rng.uniform(0.4, 1)),
                )
                for t in turns
            ]
        off_u, off_v = rng.choice((0.0, -wide / 2, 300.0)), rng.choice((0.0, -high / 2, -high, 900.0))
        placed = [(a + off_u, b + off_v) for a, b in corners]
        us, vs = [a for a, _ in placed], [b for _, b in placed]
        self.box = min(us), min(vs), max(us), max(vs)
        return placed if rng.random() < 0.7 else placed[::-1]

    def existing(self, k: int) -> str:
        rng = self.rng
        diameter = rng.choice((1.5, 3.0, 6.0, 9.5, 12.7, 25.4, 38.0, 70.0, 150.0))
        slot = ""
        if diameter < 40 and rng.random() < 0.3:
            slot = f'length = {self.long(rng.uniform(1.05, 6.0) * diameter)}\nangle = "{rng.choice((0, 90, 37, -20))} deg"\n'
        return (
            f'[[panel.existing]]\nname = "old_{k}"\nat = {self.place(*self.spot())}\ndiameter = {self.long(diameter)}\n'
            f'{slot}action = "{rng.choice(("keep", "keep", "blank", "reuse"))}"\nwhat = "{rng.choice(WORDS)}"\n'
        )

    def hole(self, k: int, marks: list[str]) -> str:
        rng = self.rng
        kind, more = rng.choice(
            (
                ("bolt", f'thread = "{rng.choice(("M4", "M6", "M10", "1/4", "5/16"))}"'),
                ("bulkhead", f"dash = {rng.choice((3, 4, 5, 6, 8))}"),
                ("grommet", f"diameter = {self.long(rng.uniform(8, 60))}"),
                ("plain", f"diameter = {self.long(rng.choice((1.0, 3.2, 11.0, 65.0, 120.0)))}"),
                ("insert", f'diameter = {self.long(9.0)}\nthread = "M6"\ngrip = {self.place(0.3, 6.0)}'),
                (
                    "weld_nut",
                    f'thread = "M8"\ndiameter = {self.long(10.0)}\nweld_face = "{rng.choice(FACES)}"',
                ),
                (
                    "stud",
                    f'thread = "M6"\nlength = {self.long(rng.uniform(6, 60))}\nweld_face = "{rng.choice(FACES)}"',
                ),
                (
                    "countersunk",
                    f'thread = "M5"\nhead = {self.long(9.2)}\ndimpled = {rng.choice(("true", "false"))}',
                ),
            )
        )
        nuts = FACES if kind == "countersunk" else (*FACES, "both")
        return (
            f'[[panel.hole]]\nname = "own_{k}"\nkind = "{kind}"\n{more}\npurpose = "{rng.choice(WORDS)}"\n'
            f'at = {self.at(marks)}\ndrill_from = "{rng.choice(FACES)}"\nnut_face = "{rng.choice(nuts)}"\n'
            f"reach_cab = {self.long(rng.choice((0, 0, 15, 80)))}\n"
        )

    def obstacle(self, k: int) -> str:
        rng = self.rng
        u, v = self.spot()
        points = [(u + rng.uniform(-90, 90), v + rng.uniform(-90, 90)) for _ in range(3)]
        where = rng.choice(
            (
                f"corner = {self.place(u, v)}\nsize = {self.place(rng.uniform(5, 250), rng.uniform(5, 150))}",
                f"centre = {self.place(u, v)}\ndiameter = {self.long(rng.uniform(8, 300))}",
                f"outline = [{', '.join(self.place(*p) for p in points)}]",
            )
        )
        return (
            f'[[panel.obstacle]]\nname = "thing_{k}"\nface = "{rng.choice(FACES)}"\nwhat = "{rng.choice(WORDS)}"\n{where}\n'
            f"gap = {self.long(rng.choice((0, 5, 40)))}\ndepth = {self.long(rng.choice((0.5, 15, 200)))}\n"
            f"movable = {rng.choice(('true', 'false'))}\n"
        )

    def panel(self, k: int) -> str:
        """One panel with what is in it."""
        rng = self.rng
        corners = self.outline()
        thick, turn = rng.choice((0.7, 1.2, 2.0, 5.0)), rng.choice((0, 0, 0, 90, -90, 180, 25))
        text = (
            f'\n[[panel]]\nname = "{NAMES[k]}"\ntitle = "{TITLED[k]}"\nmaterial = "{rng.choice(SHEETS)}"\n'
            f"thickness = {self.long(thick)}\norigin = [{self.place(k * 2000.0, 0.0)[1:-1]}, {self.long(rng.uniform(-500, 900))}]\n"
            f'tilt = "{rng.choice((0, 0, 45, -30, 90, -90, 3.5))} deg"\nturn = "{turn} deg"\n'
            f"outline = [{', '.join(self.place(*corner) for corner in corners)}]\n"
            f'surface = "{rng.choice(("flat", "flat", "curved"))}"\n'
        )
        holes, marks = rng.choice((0, 1, 2, 4, 8)), []
        if holes and rng.random() < 0.5:
            text += 'witness_hole = "old_0"\n'
        tables = ""
        for n in range(holes):
            tables += self.existing(n)
            marks.append(f"old_{n}")
        for n in range(rng.choice((0, 0, 1, 3))):
            kind = rng.choice(("point", "vertical", "horizontal"))
            tables += (
                f'[[panel.datum]]\nname = "mark_{n}"\nkind = "{kind}"\nat = {self.place(*self.spot())}\n'
                f'what = "{rng.choice(WORDS)}"\n'
            )
            marks += [f"mark_{n}"] if kind == "point" else []
        tables += "".join(self.hole(n, marks) for n in range(rng.choice((0, 1, 2, 5, 12))))
        tables += "".join(self.obstacle(n) for n in range(rng.choice((0, 0, 1, 3))))
        for n in range(rng.choice((0, 0, 0, 2))):
            tables += (
                f'[[panel.bead]]\nname = "bead_{n}"\nstart = {self.place(*self.spot())}\nend = {self.place(*self.spot())}\n'
                f"width = {self.long(rng.uniform(4, 30))}\ndepth = {self.long(rng.uniform(0, 6))}\n"
            )
        return text + tables


def odd_panels(seed: int) -> Drawn:
    """The job of a seed, always the same."""
    drawn = Panels(seed)
    rng = drawn.rng
    units = ["", 'units = "inch"\n'][drawn.unit == "in" or rng.random() < 0.2]
    text = f'[job]\nname = "toy"\ntitle = "{rng.choice(TITLES)}"\n{units}'
    text += "".join(drawn.panel(k) for k in range(rng.choice((1, 1, 2, 3, 4))))
    return Drawn(
        text=text,
        paper=rng.choice(PAPERS),
        type_scale=rng.choice((1.0, 1.0, LARGE_TYPE)),
        reason=rng.choice(REASONS),
    )
