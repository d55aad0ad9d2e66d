"""A finished ``form.html``: closed to the network, each reading asked once, with the ends it is to have."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from generators.verify.html.closed import closed_problems
from generators.verify.html.tree import parsed
from generators.verify.readback import ReadBack

CAUTIONS = ("have the work checked by a licensed mechanic", "battery disconnected")
Wanted = tuple[int, str, str, str, str, str]


def read_form_page(
    path: Path, *, rel: str, job: str, variant: str, revision: str, wanted: Sequence[Wanted]
) -> ReadBack:
    """The page beside what is asked: number, kind, panel, from, to and words of each reading."""
    try:
        root, problems = parsed(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as fault:
        return ReadBack(path=rel, problems=(f"cannot be read: {fault}",))
    problems = [*problems, *closed_problems(root)]
    page = next(iter(root.all("html")), None)
    said = page.attributes if page is not None else {}
    for name, value in (("data-job", job), ("data-variant", variant), ("data-revision", revision)):
        if said.get(name) != value:
            problems.append(f"has {name} {said.get(name)!r}, wanted {value!r}")
    problems += [f"does not say {word!r}" for word in CAUTIONS if word not in root.text]
    told = []
    for node in root.all("div", class_="reading"):
        a = node.attributes
        keys = ("data-kind", "data-panel", "data-from", "data-to")
        told.append((a.get("data-number"), *(a.get(key) for key in keys)))
        if not node.all("input") or not node.all("select"):
            problems.append(f"has no room for reading {a.get('data-number')}")
    if told != [(str(n), *rest) for n, *rest, _ in wanted]:
        problems.append(f"asks for {told}, wanted {list(wanted)}")
    whole = root.text
    problems += [f"does not say {words!r}" for *_, words in wanted if " ".join(words.split()) not in whole]
    return ReadBack(path=rel, facts=(f"{len(told)} readings",), problems=tuple(problems[:20]))
