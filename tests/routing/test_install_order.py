"""The order of work: every need met, loops named, the same answer every time."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.model.install import Need, Task
from generators.model.words import TASK_KINDS, TaskKind
from generators.routing.install_order import install_order


def task(name: str, kind: TaskKind = "part") -> Task:
    return Task(kind=kind, name=name, title=name)


def need(later: str, first: str) -> Need:
    return Need(task=later, before=first, why=f"{later} hangs on {first}")


NODES = [task(str(i), TASK_KINDS[i % len(TASK_KINDS)]) for i in range(12)]
PAIRS = st.tuples(st.integers(0, 11), st.integers(0, 11)).filter(lambda pair: pair[0] < pair[1])


@settings(max_examples=50)
@given(st.lists(PAIRS, max_size=40), st.permutations(range(12)))
def test_an_order_without_a_loop_meets_every_need(pairs: list[tuple[int, int]], names: list[int]) -> None:
    # arrows from lower to higher numbers only: there is no loop, whatever the names
    nodes = [NODES[i] for i in names]
    needs = [need(nodes[b].key, nodes[a].key) for a, b in pairs]
    order = install_order(nodes, needs)
    assert order.loop == ()
    assert sorted(t.key for t in order.tasks) == sorted(t.key for t in nodes)
    for one in needs:
        later, first = order.place(one.task), order.place(one.before)
        assert later is not None
        assert first is not None
        assert first < later
    assert install_order(nodes, needs) == order


def test_where_nothing_decides_the_kind_of_work_does() -> None:
    order = install_order([task("h", "hose"), task("b", "part"), task("a", "part"), task("d", "drill")], [])
    assert [t.name for t in order.tasks] == ["d", "b", "a", "h"]


def test_a_loop_is_named_and_nothing_behind_it_is_ordered() -> None:
    nodes = [task(name) for name in "abcdef"]
    # b waits for c, c for d, d for b; e waits for b; a and f stand apart
    needs = [
        need("part:b", "part:c"),
        need("part:c", "part:d"),
        need("part:d", "part:b"),
        need("part:e", "part:b"),
    ]
    order = install_order(nodes, needs)
    assert {one.task for one in order.loop} == {"part:b", "part:c", "part:d"}
    # each waits for the next, and the last for the first
    for one, after in zip(order.loop, (*order.loop[1:], order.loop[0]), strict=True):
        assert one.before == after.task
    assert [t.name for t in order.tasks] == ["a", "f"]


def test_two_loops_are_both_kept_out() -> None:
    nodes = [task(name) for name in "abcde"]
    needs = [
        need("part:a", "part:b"),
        need("part:b", "part:a"),
        need("part:c", "part:d"),
        need("part:d", "part:c"),
    ]
    order = install_order(nodes, needs)
    assert len(order.loop) == 2
    assert [t.name for t in order.tasks] == ["e"]


def test_a_task_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="twice"):
        install_order([task("a"), task("a")], [])
