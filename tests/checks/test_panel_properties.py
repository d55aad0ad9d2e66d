"""Panel findings do not depend on where the panel lies, and no neighbour is missed."""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import fields, replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from small_jobs import hole, layout, number

from generators.checks.panel.panel import check_panel
from generators.checks.panel.view import SAME_PLACE_MM
from generators.geometry.contours import Placement, circle, rectangle, transformed
from generators.model.findings import Finding, Severity
from generators.model.folds import FoldLine
from generators.model.limits import Limits
from generators.model.plan import Footprint, KeepOut, PanelHole, PanelLayout

LIMITS = Limits()
KINDS = ("bolt", "bulkhead", "bore", "rivet", "plain")
FACES = ("cab", "engine")
PAIRS = ("hole-ligament", "hole-spacing", "hole-shared", "nut-clash", "spanner-clash")


@st.composite
def holes(draw: st.DrawFn, most: int = 14) -> tuple[PanelHole, ...]:
    out = []
    for n in range(draw(st.integers(0, most))):
        status = draw(st.sampled_from(["drill", "drill", "drill", "reuse", "datum", "blank"]))
        diameter = draw(st.floats(3, 30))
        nut = draw(st.sampled_from([0.0, 1.6])) * diameter
        out.append(
            hole(
                str(n + 1),
                draw(st.floats(-10, 210)),
                draw(st.floats(-10, 160)),
                diameter,
                status=status,
                kind=draw(st.sampled_from(KINDS)),
                nut_face=draw(st.sampled_from(["cab", "engine", "both", "none"])),
                nut_circle_mm=nut,
                spanner_circle_mm=2 * nut,
                reach_cab_mm=draw(st.floats(0, 40)),
                drill_face=draw(st.sampled_from(FACES)),
                owners=draw(st.sampled_from([("panel",), ("a",), ("b",), ("a", "b")])),
            )
        )
    return tuple(out)


@st.composite
def layouts(draw: st.DrawFn) -> PanelLayout:
    def corner() -> tuple[float, float]:
        return draw(st.floats(-5, 180)), draw(st.floats(-5, 130))

    keepouts = []
    for n in range(draw(st.integers(0, 4))):
        u, v = corner()
        wide = draw(st.floats(10, 60))
        contour = circle(u, v, wide) if n % 2 else rectangle(u, v, u + wide, v + wide / 2, 2)
        keepouts.append(
            KeepOut(
                name=f"k{n}",
                face=draw(st.sampled_from(FACES)),
                contour=contour,
                gap_mm=draw(st.floats(0, 30)),
                depth_mm=20,
                reason="heater",
                bead=draw(st.booleans()),
                movable=draw(st.booleans()),
            )
        )
    feet = []
    for name in "ab":
        u, v = corner()
        feet.append(
            Footprint(
                part=name, face=draw(st.sampled_from(FACES)), contour=rectangle(u, v, u + 60, v + 40, 5)
            )
        )
    fold = FoldLine(other="toe", start=(0, 0), end=(200, 0), angle_rad=0.7, inside_radius_mm=6)
    return replace(
        layout(),
        contour=rectangle(0, 0, 200, 150, 20),
        holes=draw(holes()),
        keepouts=tuple(keepouts),
        footprints=tuple(feet),
        folds=(fold,),
        witness_hole="",
    )


def moved(job: PanelLayout, move: Placement) -> PanelLayout:
    def at(h: PanelHole) -> PanelHole:
        u, v = move.apply(h.u_mm, h.v_mm)
        return replace(h, u_mm=u, v_mm=v)

    return replace(
        job,
        contour=transformed(job.contour, move),
        holes=tuple(at(h) for h in job.holes),
        keepouts=tuple(replace(k, contour=transformed(k.contour, move)) for k in job.keepouts),
        footprints=tuple(replace(f, contour=transformed(f.contour, move)) for f in job.footprints),
        folds=tuple(replace(f, start=move.apply(*f.start), end=move.apply(*f.end)) for f in job.folds),
    )


def told(findings: list[Finding]) -> list[tuple[str, str, str, float]]:
    def length(f: Finding) -> float:
        first = f.found.split()[0]
        return float(first) if first.replace(".", "").replace("-", "").isdecimal() else 0.0

    return [(f.code, f.severity.value, f.where, length(f)) for f in findings]


@given(
    layouts(),
    st.floats(-2000, 2000),
    st.floats(-2000, 2000),
    st.floats(-math.pi, math.pi),
    st.booleans(),
)
@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_rigid_moves_and_mirrors_change_nothing(
    job: PanelLayout, du: float, dv: float, angle: float, mirror: bool
) -> None:
    # centres just on the limit of what is one hole fall on either side of it by rounding alone
    assume(
        all(
            abs(math.dist((a.u_mm, a.v_mm), (b.u_mm, b.v_mm)) - SAME_PLACE_MM) > 1e-6
            for a in job.holes
            for b in job.holes
        )
    )
    before = told(check_panel(job, LIMITS))
    after = told(check_panel(moved(job, Placement(du, dv, angle, mirror)), LIMITS))
    assert [x[:3] for x in before] == [x[:3] for x in after]
    for one, two in zip(before, after, strict=True):
        # areas are told in whole mm²; lengths in 0.01 mm
        assert one[3] == pytest.approx(two[3], abs=1.01 if one[0] == "footprint-clash" else 0.0101)


def each(findings: list[Finding]) -> Counter[tuple[str, str, str]]:
    """Code, hole and what it meets: holes of one part are told together, so each is taken by itself."""
    out: Counter[tuple[str, str, str]] = Counter()
    for f in findings:
        names = re.findall(r"\S+ \(hole_\d+\)", f.where)
        place = re.sub(r"^panel:firewall holes?|,? (and )?\S+ \(hole_\d+\)", "", f.where)
        pair = f.code in PAIRS and len(names) == 2 and place in ("", ", cab face", ", engine face")
        if pair:
            out[f.code, " and ".join(names), place] += 1
        else:
            out.update((f.code, name, place) for name in names or [""])
    return out


def slow_pairs(job: PanelLayout) -> Counter[tuple[str, str, str]]:
    """Spacing, ligament and nut clash by trying every pair: the rules in their plainest form."""
    out: Counter[tuple[str, str, str]] = Counter()
    t, hs = job.thickness_mm, job.holes
    for a in range(len(hs)):
        for b in range(a + 1, len(hs)):
            one, two = hs[a], hs[b]
            apart = math.hypot(one.u_mm - two.u_mm, one.v_mm - two.v_mm)
            where = f"panel:firewall holes {one.number} ({one.name}) and {two.number} ({two.name})"
            r1, r2 = one.final_dia_mm / 2, two.final_dia_mm / 2
            used = [h.status in ("drill", "reuse") for h in (one, two)]
            new = [h.status == "drill" for h in (one, two)]
            for face in FACES:
                turns = all(h.nut_face in (face, "both") and h.nut_circle_mm > 0 for h in (one, two))
                if turns and all(used) and 0.1 < apart < (one.nut_circle_mm + two.nut_circle_mm) / 2 - 1e-6:
                    out["nut-clash", "fail", f"{where}, {face} face"] += 1
            if not any(new):
                continue
            if not all(new):
                r_new, r_old = (r1, r2) if new[0] else (r2, r1)
                if apart + r_old <= r_new:
                    continue
            elif apart <= 0.1:
                continue
            limit = max(2 * t, 3.0)
            metal = apart - r1 - r2
            if metal < limit - 1e-6:
                out["hole-ligament", "fail" if metal < t - 1e-6 else "warn", where] += 1
            wide = 2 * max(r1, r2)
            loads = all(h.kind in ("bolt", "rivet", "insert") for h in (one, two)) and all(used)
            if loads and apart < 3 * wide - 1e-6:
                out["hole-spacing", "fail" if apart < 2.2 * wide - 1e-6 else "warn", where] += 1
    return out


@given(holes(most=30))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_every_pair_is_found(found_holes: tuple[PanelHole, ...]) -> None:
    job = replace(layout(), contour=rectangle(-500, -500, 900, 900), holes=found_holes)
    fast = Counter(
        (f.code, f.severity.value, f.where)
        for f in check_panel(job, LIMITS)
        if f.code in ("hole-ligament", "hole-spacing", "nut-clash")
    )
    assert fast == slow_pairs(job)


SET = [f.name for f in fields(Limits) if getattr(LIMITS, f.name) is not None]
"""Limits that are set where nobody says: one that is not has nothing to be made larger."""


@given(layouts(), st.sampled_from(SET), st.floats(1.0, 3.0))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_larger_limit_never_finds_less(job: PanelLayout, key: str, factor: float) -> None:
    larger = replace(LIMITS, **{key: getattr(LIMITS, key) * factor})
    assert each(check_panel(job, LIMITS)) <= each(check_panel(job, larger))


@given(layouts())
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_length_reads_as_enough(job: PanelLayout) -> None:
    for f in check_panel(job, LIMITS):
        if f.code in ("hole-spacing", "hole-edge-distance", "hole-ligament", "hole-near-fold", "nut-clash"):
            assert number(f.found) < number(f.wanted), f


def test_same_layout_same_findings() -> None:
    job = layout(*(hole(str(n), 20 * n, 10 + n) for n in range(1, 15)))
    backward = replace(job, holes=job.holes[::-1])
    assert told(check_panel(job, LIMITS)) == told(check_panel(job, LIMITS))
    assert len(check_panel(job, LIMITS)) == len(check_panel(backward, LIMITS)) > 0


MOVE = re.compile(r"move hole ([0-9]+) \([a-z0-9_]+\) ([0-9]+) mm (to the left|to the right|up|down)\b")
STEP = {"to the left": (-1, 0), "to the right": (1, 0), "up": (0, 1), "down": (0, -1)}
POLYGON_MM = 0.01
"""What a region drawn as a polygon may be short of its arcs by, of the sizes here."""


@given(layouts())
@settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_hole_moved_as_told_is_in_nobodys_way(job: PanelLayout) -> None:
    """The reference is the rules themselves, on a copy with that one hole moved."""
    movable = {k.name for k in job.keepouts if k.movable}  # moved aside, not moved round
    told_moves = {m.groups() for f in check_panel(job, LIMITS) for m in MOVE.finditer(f.advice)}
    for number_told, far, way in sorted(told_moves):
        du, dv = (int(far) * step for step in STEP[way])
        after = tuple(
            replace(h, u_mm=h.u_mm + du, v_mm=h.v_mm + dv) if h.number == number_told else h
            for h in job.holes
        )
        for f in check_panel(replace(job, holes=after), LIMITS):
            if f.severity is Severity.NOTE or not re.search(rf"\b{number_told} \(", f.where):
                continue
            if f.code == "drill-path" and f.where.rsplit(maxsplit=1)[-1] in movable:
                continue
            assert f.value is not None, f
            assert f.limit is not None, f
            assert abs(f.limit - f.value) < POLYGON_MM, f
