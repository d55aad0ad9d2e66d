"""Where the papers of one folder say another thing of a hole than its table: nothing here wrote any of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from jobs.hole_papers import (
    LAYER,
    Label,
    Row,
    csv_rows,
    dxf_layers,
    dxf_says,
    labels,
    phrase,
    sign_wanted,
    table_says,
)
from jobs.step_papers import Install, install_says, phone_says

from generators.verify.pdf.content import read_pdf


def disagreements(folder: Path) -> list[str]:
    """Where papers of a folder say another thing of a hole than ``holes.csv``."""
    rows = csv_rows(folder / "holes.csv")
    bad = list(_of_install(rows, folder / "install_sheet.pdf"))
    if (folder / "install.html").is_file():
        bad += _of_phone(rows, folder)
    for path in sorted(folder.glob("panels/*/*")):
        here = {n: r for n, r in rows.items() if r.panel in path.parent.name.split("+")}
        name = path.relative_to(folder).as_posix()
        said = dxf_says(path, list(here)) if path.suffix == ".dxf" else {}
        if path.suffix == ".dxf":
            bad += [
                f"{name}: hole {n} lies on {dxf_layers(path, row)}"
                for n, row in here.items()
                if row.said.when in ("now", "last")
                and not {LAYER[row.said.how], "WELD"} & dxf_layers(path, row)
            ]
        else:
            pages = read_pdf(path).pages
            said = table_says(pages) if path.name.startswith("template") else {}
            led = [
                (label, here[label.number])
                for page in pages
                for label in labels(page)
                if label.number in here
            ]
            bad += [f"{name}: {problem}" for label, row in led if (problem := _of_label(label, row))]
            wanted = [n for n, row in here.items() if row.said.when in ("now", "last")]
            assert 2 * len({label.number for label, _ in led} & set(wanted)) >= len(wanted), name
        if said or path.name.startswith("template"):
            assert set(said) == set(here), name
        bad += [f"{name}: hole {n}: {s} but {here[n].said}" for n, s in said.items() if s != here[n].said]
    return bad


def _of_phone(rows: dict[str, Row], folder: Path) -> Iterator[str]:
    """Where the page for the phone disagrees with the table, or sends to another step than the sheet has."""
    page, sheet = phone_says(folder / "install.html"), install_says(folder / "install_sheet.pdf")
    assert set(page) == set(rows)
    for number, (said, step) in page.items():
        if said != rows[number].said:
            yield f"install.html: hole {number}: {said} but {rows[number].said}"
        made = [found[number][0] for found in (sheet.sized, sheet.through) if number in found]
        if made and step not in made:
            yield f"install.html: hole {number} is sent to step {step}, not {made}"


def _of_label(label: Label, row: Row) -> str:
    """Where a label or its ring disagrees with the table; nothing where not."""
    said = row.said
    if label.sign != sign_wanted(said):
        return f"the sign of hole {row.number} is {label.sign}, not {sign_wanted(said)}"
    told = f"after step {said.step}" in label.text
    if said.when == "last" and label.text != label.number and not told:
        return f"the label of hole {row.number} does not say its step: {label.text}"
    if said.when not in ("last", "open") and "after step" in label.text:
        return f"the label of hole {row.number} names a step: {label.text}"
    words = {"part": "through the", "guide": "through the", "hose": "where its hose puts it"}.get(
        said.how, ""
    )
    return (
        f"the label of hole {row.number} says no way: {label.text}"
        if label.lines > 1 and words not in label.text
        else ""
    )


def waits_wrongly(number: str, rows: dict[str, Row], sheet: Install) -> str:
    """What the step is that a late hole may wait for, where the one it waits for is another; nothing where not.

    The first hole made through a part waits for the step that bolts that part on, and the first one a hose
    decides on for the step that holds the thing where the hose puts it. Every other one waits for the step just
    before its own, in which others of the same part or thing are made.
    """
    said, waits = rows[number].said, sheet.steps.get(rows[number].said.step, "")
    # several are opened to size in one step, which tells them by a table
    begun = sheet.begun.get(number, sheet.sized.get(number, (0, ""))[0])
    found = re.search(r"(?:through|puts) (the .+?)(?:, bolted on.*|)$", sheet.told.get(number, ""))
    what = re.escape(found[1]) if found is not None else "nothing it names"
    # what sits on the part comes off it once that is clamped
    held = f"(?:it|{what.replace('the', 'the(?: clamped)?', 1)})"
    made = rf"holes? [A-Z\d, ando]+ through {held if said.how == 'hose' else what}, from the (?:cab|engine) side\."
    first, others = {
        "part": (rf"Bolt {what} on the ", rf"(?:Open|Drill|Mark) {made}"),
        "hose": (
            rf"Hold {what} where |Clamp {what} there, and take the ",
            rf"(?:Open|Drill|Mark|Clamp {what} there and drill) {made}",
        ),
    }.get(said.how, ("no step", "no step"))
    mine = [
        n for n, row in rows.items() if (row.panel, row.through) == (rows[number].panel, rows[number].through)
    ]
    earlier = [n for n in mine if rows[number].through and 0 < sheet.begun.get(n, 0) < begun]
    wanted = others if earlier else first
    fits = re.match(wanted, waits) and (not earlier or said.step in {sheet.begun[n] for n in earlier})
    return "" if fits and begun == said.step + 1 else f"{wanted} just before step {begun}"


def _of_install(rows: dict[str, Row], path: Path) -> Iterator[str]:
    """Where the steps disagree with the table."""
    sheet = install_says(path)
    for number, row in rows.items():
        said = row.said
        late = said.when == "last" or (said.when == "open" and said.step > 0)
        drilled = said.how == "paper" and bool(row.tool)  # a stud is welded on its mark
        led = said.how == "guide" and row.piloted
        waits = phrase(f"{sheet.told[number]}, {said.face} side") if number in sheet.told else None
        at = {"part": sheet.through, "hose": {**sheet.through, **sheet.sized}}.get(said.how, {}).get(number)
        now = number in sheet.sized and sheet.sized[number][0] not in _later(sheet, said.step)
        for there, wanted, what in (
            (number in sheet.punched, said.how == "paper" or bool(said.pilot), "punched"),
            (number in sheet.pilots, bool(said.pilot), "left a pilot"),
            (number in sheet.guided, said.how == "guide", "drilled through a guide"),
            (number in sheet.told, late, "told to wait"),
            # a guide leads the pilot of what has one, and the hole is opened without it
            (now, drilled or led or (said.when == "open" and not late), "opened with its panel"),
            (at is not None, said.when == "last", "drilled later"),
            (number in sheet.closed, said.when == "close" and not row.through, "closed by itself"),
        ):
            if there != wanted:
                yield f"install sheet: hole {number} is {'' if there else 'not '}{what}: {said}"
        if waits is not None and (waits.when, waits.how, waits.step) != (said.when, said.how, said.step):
            yield f"install sheet: hole {number}: {sheet.told[number]!r}, {said}"
        if late and (wanted_step := waits_wrongly(number, rows, sheet)):
            yield f"install sheet: hole {number} waits for {sheet.steps.get(said.step)!r}, not for {wanted_step}"
        if at is not None and at[0] <= said.step:
            yield f"install sheet: hole {number} is drilled at step {at[0]}, {said}"
        if number in sheet.through and at is not None and sheet.through[number][1] != said.face:
            yield f"install sheet: hole {number} is drilled from the {sheet.through[number][1]} side, {said}"


def _later(sheet: Install, step: int) -> set[int]:
    """Steps after the one a hole waits for; none for a hole that waits for nothing."""
    return {number for number in sheet.steps if number > step} if step else set()
