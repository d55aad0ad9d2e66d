"""One spec on the board: its text, its history, what is drawn of it, and who is told."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from generators.board.beside import Beside
from generators.board.edits import changed, mended, mirrored, values_of
from generators.board.history import History
from generators.board.numbers import Refused
from generators.board.pages import Pages
from generators.board.picture import FLAT, Drawer, faults_of, findings_of
from generators.board.shelf import NOTHING, shelf_of, with_thing
from generators.board.store import digest, read_text, write_text
from generators.errors import LookupFault, PedalplateError, SpecError
from generators.jobs.draft.content import content_of, first_look
from generators.model.changes import Mend
from generators.model.findings import unmended, usual_cure
from generators.model.spec.job import Job
from generators.reading import JobFile
from generators.reading.forms.used import used_paths
from generators.reading.toml.source import TomlSource, parse_bytes
from generators.sheets.draft.content import Content
from generators.sheets.draft.space import space_data
from generators.solve.first import Laid, laid_out
from generators.solve.job import Prepared, prepare
from generators.solve.mends.tries import with_mends
from generators.verify.readback import said

State = dict[str, Any]
Tell = Callable[[State], None]
OUTSIDE = "changed in the file"


def _plain_fault(words: str) -> State:
    """A fault that stands at no place of the file."""
    return {"line": 0, "path": "", "found": words, "expected": "", "hint": ""}


class Desk:
    """Reads, draws and writes one spec. Its slow calls are for threads; one at a time draws, one solves.

    ``tell`` is called with every new state, from whatever thread made it.
    """

    def __init__(self, spec: Path, tell: Tell, others: Sequence[Path] = ()) -> None:
        self.spec = spec
        self._tell = tell
        self._history = History(read_text(spec))
        self._drawer = Drawer()
        self._content: Content | None = None
        self._laid, self._solved = "", ""
        self._last: TomlSource | None = None
        self.form = ""
        self.forms: tuple[str, ...] = ()
        self.pages = Pages()
        self.beside = Beside(spec, self._history.text, others)
        self.seen = ""
        """Name of the picture that is looked at."""
        self._prepared: Prepared | None = None
        self._mends: dict[tuple[str, int], Mend] = {}
        self._job: Job | None = None
        self._lock = threading.RLock()
        self._solving = threading.Lock()
        self._good: State = {"pictures": [], "findings": [], "title": spec.name}
        self.state: State = {**self._good, "stage": "none", "faults": [], "values": [], "text": ""}

    # --- what is on the page --------------------------------------------------------------
    def first(self) -> None:
        """Read the file and show at once what is known without solving."""
        with self._lock:
            text = self._history.text
            try:
                text = read_text(self.spec)
                self._history.record(text, OUTSIDE)
                laid = self._laid_out(text)
            except SpecError as error:
                self._spoilt(text, faults_of(error.faults))
                return
            except PedalplateError as error:
                self._spoilt(text, [_plain_fault(str(error))])
                return
            self._job = laid.file.job
            self.forms = laid.file.variants
            # what is solved hangs on the shop file and on files the spec uses, too
            self._laid = digest(text) + laid.file.revision + self.form
            source = self._written(laid.file, text)
            look = first_look(laid.file, laid.parts, laid.layouts)
            if self._content is not None:
                # hoses and findings of the last answer stay until the next one
                look = replace(look, runs=self._content.runs, pins=self._content.pins)
            self._good = {**self._good, "title": look.title, "units": look.units}
            # what somebody looks at is drawn and told first, the rest a moment later
            told = self._held(self._drawer.pictures(look, source, FLAT, self.seen)) if self.seen else []
            if told and self._good["pictures"]:
                self._good = {**self._good, "pictures": self._with_one(told[0])}
                self._show(text, "first", [], source)
            pictures = self._held(self._drawer.pictures(look, source, FLAT))
            self._good = {**self._good, "pictures": self._with_old(pictures)}
            self._show(text, "first", [], source)

    def _laid_out(self, text: str) -> Laid:
        """The spec laid out in the form that is looked at; as it is written where it has no such form now."""
        try:
            return laid_out(self.spec, text, self.form)
        except LookupFault:
            if not self.form:
                raise
            self.form = ""
            return laid_out(self.spec, text)

    def _held(self, pictures: list[State]) -> list[State]:
        """The pictures; of a variant nothing is dragged: its values may be the variant's, or a mirror's."""
        if not self.form:
            return pictures
        return [{**p, "handles": [{**h, "moves": False} for h in p["handles"]]} for p in pictures]

    def _with_old(self, pictures: list[State]) -> list[State]:
        """New pictures, and the old ones of what a first look does not show."""
        old = [p for p in self._good["pictures"] if p["what"] not in FLAT]
        return [*pictures, *old]

    def _with_one(self, picture: State) -> list[State]:
        """The old pictures with one of them new."""
        name = picture["name"]
        return [picture if p["name"] == name else {**p, "before": True} for p in self._good["pictures"]]

    def _written(self, file: JobFile, text: str) -> TomlSource:
        """The text as it is written: as it was read just now, where nothing in it was worked out."""
        source = file.source
        if type(source) is TomlSource and not source.worked and source.text == text:
            self._last = source
        return self._parsed(text)

    def whole(self) -> None:
        """Solve the text that is shown and show the answer, unless the text has changed meanwhile."""
        with self._solving:
            with self._lock:
                # together: a text that is being taken back has its new words before it is laid out
                text, laid, form = self._history.text, self._laid, self.form
                if self.state["stage"] != "first":
                    return
                known = self._content if self._solved == laid else None
                prepared = self._prepared
            try:
                if known is None or prepared is None:
                    prepared = prepare(self.spec, text=text, variant=form)
                content = known or content_of(prepared)
            except SpecError as error:
                with self._lock:
                    if laid == self._laid:
                        self._spoilt(text, faults_of(error.faults))
                return
            source = self._parsed(text)
            good = {
                "title": content.title,
                "units": content.units,
                "pictures": self._held(self._drawer.pictures(content, source, (*FLAT, "pedal"))),
                "findings": [*findings_of(content, source, prepared.file.taken)],
            }
            with self._lock:
                if laid != self._laid or self.state["stage"] != "first":
                    return
                self._content, self._solved, self._good = content, laid, good
                self._prepared = prepared
                self._mends.clear()
                self._show(text, "whole", [], source)

    def surprised(self, error: BaseException) -> None:
        """Say on the page that something went wrong that nobody expected; the last good picture stays."""
        words = f"something this program did not expect: {said(error)}"
        with self._lock:
            self._spoilt(self._history.text, [_plain_fault(words)])

    def _parsed(self, text: str) -> TomlSource:
        """A text as TOML; it has been read before. Raises ``SpecError`` for one that is none."""
        # looked at once: threads that draw and that write come by here at one time, each with its own text
        last = self._last
        if last is None or last.text != text:
            last = self._last = parse_bytes(str(self.spec), text.encode())
        return last

    def _spoilt(self, text: str, faults: list[State]) -> None:
        """The last good picture with what is wrong with the text."""
        source = None
        with contextlib.suppress(PedalplateError):
            source = self._parsed(text)
        self._show(text, "faults", faults, source)

    def _show(self, text: str, stage: str, faults: list[State], source: TomlSource | None) -> None:
        undo, redo = self._history.depth
        self.state = {
            **self._good,
            "stage": stage,
            "digest": digest(text),
            "faults": faults,
            "values": values_of(source) if source is not None else [],
            "text": text,
            "form": self.form,
            "forms": list(self.forms),
            "undo": undo,
            "redo": redo,
        }
        self._tell(self.state)

    def scene(self) -> list[State]:
        """Pictures of the whole job, of the last answer."""
        content = self._content
        if content is None:
            return []
        source = self._parsed(self._history.text)
        return self._held(self._drawer.pictures(content, source, ("scene",)))

    def space(self) -> State:
        """The job to turn, of the last answer."""
        if self._content is None:
            return {"things": [], "moving": [], "pairs": []}
        return space_data(self._content)

    def shelf(self) -> State:
        """The things of the shop's shelf, and where the spec that is shown takes one."""
        text = self._history.text
        try:
            return {**shelf_of(self.spec, self._parsed(text)), "digest": digest(text)}
        except PedalplateError as error:
            return {**NOTHING, "fault": str(error), "digest": digest(text)}

    def look_at(self, form: str) -> None:
        """Show the job in another form: the name of a variant, or nothing for what is written.

        Raises ``Refused`` for a variant the spec does not have.
        """
        with self._lock:
            if form and form not in self.forms:
                raise Refused("the spec has no such variant")
            self.form = form
            self._good = {**self._good, "pictures": [], "findings": []}
            self._content, self._prepared = None, None
            self.first()

    def answer(self) -> tuple[Prepared, str]:
        """The job as it is solved, with the name of that answer. Raises ``Refused`` while there is none."""
        with self._lock:
            if self._prepared is None or self._solved != self._laid or self.state["stage"] != "whole":
                raise Refused("the spec is being worked out, or has faults: ask again in a moment")
            return self._prepared, self._laid

    def compared(self, number: int) -> State:
        """What differs from another state of the job. Raises ``Refused``."""
        prepared, _laid = self.answer()
        return self.beside.against(prepared, number, self._history.text, self.forms)

    def folders(self) -> list[Path]:
        """Folders of the spec and of all it is read from, though it may have faults; in order.

        The shop file lies beside the spec, and used files in its folder or below. Of a spec that is a link
        the link's folder counts, but who saves it may write the file it leads to.
        """
        here = self.spec.parent.resolve()
        found = {here, self.spec.resolve().parent}
        found |= {path.parent for path in used_paths(here, self._history.text)}
        return sorted(path for path in found if path.is_dir())

    # --- what is done on the page ---------------------------------------------------------
    def edit(self, wish: Mapping[str, Any]) -> str:
        """Change the file as the page asks and look at it anew; what was done. Raises ``Refused``."""
        with self._lock:
            self._as_seen(wish)
            text = self._history.text
            try:
                source = self._parsed(text)
            except PedalplateError as error:
                raise Refused("the file is not TOML at the moment: mend it in an editor, or undo") from error
            if source.text != text:  # an edit of another text would take back what came between
                raise Refused("the file has changed since: look again")
            if wish.get("do") == "mend":
                mend = self._mends.get((self._laid, wish.get("number", 0)))
                if mend is None:
                    raise Refused("ask again what clears it: the spec has changed")
                done = mended(source, mend)
            elif self.form and wish.get("do") in ("move", "carry", "take"):
                raise Refused("choose the job as written to do this: a variant is only looked at here")
            elif wish.get("do") == "take":
                place, thing = str(wish.get("place")), str(wish.get("thing"))
                done = with_thing(self.spec, source, place, thing)
            elif wish.get("do") == "mirror":
                done = mirrored(source)
            else:
                done = changed(source, self._job, wish)
            self._write(done.text)
            self._history.record(done.text, done.words)
            self.first()
            return done.words

    def mend(self, number: int) -> State:
        """What clears a finding that is shown, tried on a copy; takes seconds. Raises ``Refused``."""
        prepared, laid = self.answer()
        if self.form:
            raise Refused("choose the job as written: a variant is only looked at here")
        if not 0 < number <= len(prepared.findings):
            raise Refused("no such finding")
        finding = prepared.findings[number - 1]
        mend = with_mends(prepared, lambda other: other is finding).findings[number - 1].mend
        if mend is None:
            return {"holds": False, "words": usual_cure(finding), "edits": []}
        if not mend.holds:
            return {"holds": False, "words": unmended(mend), "edits": []}
        with self._lock:
            if laid == self._laid:
                self._mends[laid, number] = mend
        return {"holds": True, "words": mend.words, "edits": [edit.words for edit in mend.edits]}

    def undo(self, wish: Mapping[str, Any]) -> str:
        """Take the last change back; words of it. Raises ``Refused`` where there is none."""
        with self._lock:
            self._as_seen(wish)
            found = self._history.undone()
            if found is None:
                raise Refused("nothing to take back")
            self._write(found[0])
            self._history.undo()
            self.first()
            return f"taken back: {found[1]}"

    def redo(self, wish: Mapping[str, Any]) -> str:
        """Put the change on again that was taken back last. Raises ``Refused`` where there is none."""
        with self._lock:
            self._as_seen(wish)
            found = self._history.redone()
            if found is None:
                raise Refused("nothing to put on again")
            self._write(found[0])
            self._history.redo()
            self.first()
            return f"again: {found[1]}"

    def _as_seen(self, wish: Mapping[str, Any]) -> None:
        """Raises ``Refused`` when the file is not the one the page shows."""
        text = read_text(self.spec)
        if text != self._history.text:
            self.first()
        if wish.get("base") != digest(text):
            raise Refused("the file has changed since: look again")

    def _write(self, text: str) -> None:
        try:
            write_text(self.spec, text)
        except PedalplateError as error:
            raise Refused(str(error)) from error
