"""An order of work in which what fixes a position comes before what depends on it.

The graph is sorted by ``graphlib``; where it leaves a choice, the kind of work decides and then the order
of the spec, so that drilling is done together and the same spec always gives the same sheet. A loop is
an answer too: it names the needs that go round, and nothing that hangs on them is put in any order.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from generators.model.install import InstallOrder, Need, Task
from generators.model.words import TASK_KINDS


def install_order(tasks: Sequence[Task], needs: Sequence[Need]) -> InstallOrder:
    """The order of ``tasks`` that meets ``needs``; of several, the one by kind and place in ``tasks``.

    Needs of tasks that are not there count for nothing. Raises ``ValueError`` for a task given twice.
    """
    known = {task.key: index for index, task in enumerate(tasks)}
    if len(known) != len(tasks):
        raise ValueError("a task is there twice")
    real = tuple(need for need in needs if need.task in known and need.before in known)
    loop = _loop(known, real)
    skipped = _behind({need.task for need in loop}, real)
    left = [task for task in tasks if task.key not in skipped]
    return InstallOrder(tasks=_sorted(left, real, known), needs=real, loop=loop)


def _sorter(keys: Sequence[str], needs: Sequence[Need]) -> TopologicalSorter[str]:
    sorter: TopologicalSorter[str] = TopologicalSorter(dict.fromkeys(keys, ()))
    there = set(keys)
    for need in needs:
        if need.task in there and need.before in there:
            sorter.add(need.task, need.before)
    return sorter


def _loop(known: dict[str, int], needs: Sequence[Need]) -> tuple[Need, ...]:
    """The needs of one loop, each waiting for the next; empty when there is none."""
    try:
        _sorter(list(known), needs).prepare()
    except CycleError as error:
        # graphlib lists each node before the one that waits for it, the first again at the end
        ring: list[str] = error.args[1]
        why = {(need.task, need.before): need for need in reversed(needs)}
        waits = [why[after, before] for before, after in pairwise(ring)]
        return tuple(reversed(waits))
    return ()


def _behind(loop: set[str], needs: Sequence[Need]) -> set[str]:
    """The tasks of a loop and all that wait for one of them."""
    found, pending = set(loop), list(loop)
    waiting: dict[str, list[str]] = {}
    for need in needs:
        waiting.setdefault(need.before, []).append(need.task)
    while pending:
        for task in waiting.get(pending.pop(), ()):
            if task not in found:
                found.add(task)
                pending.append(task)
    return found


def _sorted(tasks: Sequence[Task], needs: Sequence[Need], known: dict[str, int]) -> tuple[Task, ...]:
    by_key = {task.key: task for task in tasks}
    sorter = _sorter(list(by_key), needs)
    try:
        sorter.prepare()
    except CycleError:
        # a second loop apart from the first: take it out as well
        loop = _loop({key: known[key] for key in by_key}, needs)
        skipped = _behind({need.task for need in loop}, needs)
        return _sorted([task for task in tasks if task.key not in skipped], needs, known)
    ready: list[tuple[int, int, str]] = []
    out: list[Task] = []
    while sorter.is_active():
        for key in sorter.get_ready():
            heapq.heappush(ready, (TASK_KINDS.index(by_key[key].kind), known[key], key))
        _kind, _place, key = heapq.heappop(ready)
        out.append(by_key[key])
        sorter.done(key)
    return tuple(out)
