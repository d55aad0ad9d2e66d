"""When a change holds: its finding gone, nothing new, nothing worse; whatever number a hole has then."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generators.model.findings import Finding, Severity
from generators.solve.mends.judge import brought, left, worsened

WARN, FAIL, NOTE = Severity.WARN, Severity.FAIL, Severity.NOTE


def finding(code: str, where: str, severity: Severity = WARN, value: float = 5.0, about: str = "") -> Finding:
    """A finding 10 mm is the limit of."""
    return Finding(
        code=code,
        severity=severity,
        where=where,
        found="5 mm",
        wanted="10 mm",
        source="test",
        advice="move it",
        value=value,
        limit=10.0,
        unit="mm",
        about=about,
    )


EDGE = finding("hole-edge-distance", "panel:firewall hole 3 (clamp) and the edge")
PAIR = finding("hole-spacing", "panel:firewall holes 3 (clamp) and 7 (hanger.mount_1)")
GROUP = finding("keep-out", "panel:firewall holes 1 (hanger.a), 2 (hanger.b) and B (pipe) and loom, cab face")
HOSE = finding("hose-clearance", "hose:feed", about="obstacle box")


@pytest.mark.parametrize(
    ("one", "after", "still"),
    [
        (EDGE, [], False),
        (EDGE, [replace(EDGE, where="panel:firewall hole 12 (clamp) and the edge")], True),
        (EDGE, [replace(EDGE, where="panel:firewall hole 3 (other) and the edge")], False),
        (EDGE, [replace(EDGE, severity=NOTE)], False),
        (EDGE, [replace(EDGE, severity=FAIL)], True),
        # the same two holes in the other order, and one of them with a third
        (PAIR, [replace(PAIR, where="panel:firewall holes 2 (hanger.mount_1) and 9 (clamp)")], True),
        (PAIR, [replace(PAIR, where="panel:firewall holes 3 (clamp) and 8 (line)")], True),
        # part of a group is not the whole of it cleared
        (GROUP, [replace(GROUP, where="panel:firewall hole 4 (hanger.b) and loom, cab face")], True),
        (GROUP, [replace(GROUP, where="panel:firewall hole 4 (hanger.b) and loom, engine face")], False),
        (HOSE, [replace(HOSE, about="obstacle rod")], False),
        (HOSE, [replace(HOSE, value=6.0)], True),
    ],
)
def test_a_finding_is_gone_when_nothing_says_the_same(
    one: Finding, after: list[Finding], still: bool
) -> None:
    assert (left(one, [one], after) is not None) is still


def test_what_was_there_beside_it_may_stay() -> None:
    other = replace(PAIR, where="panel:firewall holes 3 (clamp) and 8 (line)")
    assert left(PAIR, [PAIR, other], [other]) is None
    twin = finding("air-trap", "line:a feed")
    assert left(twin, [twin, replace(twin, found="6 mm")], [replace(twin, found="7 mm")]) is None
    assert left(twin, [twin], [replace(twin, found="7 mm")]) is not None


@pytest.mark.parametrize(
    ("before", "after", "new"),
    [
        ([EDGE], [EDGE], 0),
        ([EDGE], [replace(EDGE, where="panel:firewall hole 30 (clamp) and the edge")], 0),
        ([EDGE], [replace(EDGE, severity=FAIL)], 1),
        ([replace(EDGE, severity=FAIL)], [EDGE], 0),
        ([], [replace(EDGE, severity=NOTE)], 0),
        ([EDGE], [EDGE, PAIR], 1),
        ([GROUP], [replace(GROUP, where="panel:firewall hole 4 (hanger.b) and loom, cab face")], 0),
        ([HOSE], [replace(HOSE, about="obstacle rod")], 1),
        # two humps where there was one, in the same hose
        ([finding("air-trap", "line:a feed")], [finding("air-trap", "line:a feed")] * 2, 1),
    ],
)
def test_what_a_change_brings(before: list[Finding], after: list[Finding], new: int) -> None:
    assert len(brought(before, after)) == new


def test_what_stays_must_not_get_worse() -> None:
    assert worsened([EDGE], [replace(EDGE, value=4.0)]) == [replace(EDGE, value=4.0)]
    assert worsened([EDGE], [replace(EDGE, value=5.0)]) == []
    assert worsened([EDGE], [replace(EDGE, value=6.0)]) == []
    assert worsened([], [EDGE]) == []
