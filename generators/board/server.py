"""The server of the live page: on this machine alone, for as long as the command runs."""

from __future__ import annotations

import asyncio
import contextlib
import json
import secrets
from collections.abc import AsyncIterator, Callable, Sequence
from dataclasses import asdict
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from aiohttp import web
from watchfiles import awatch

from generators.board.desk import Desk, State
from generators.board.guard import HEADERS, HOST, LONGEST_BODY, guarded
from generators.board.numbers import Refused
from generators.checks.register import explain
from generators.errors import ExportError, LookupFault, PedalplateError
from generators.sheets.phone.three import licence, three_js
from generators.sheets.web.inline import kept

OWN = ("board.css", "board.js", "picture.js", "fields.js", "shelf.js", "looks.js", "icon.svg")
SHARED = {"base.css": "web", "draft.css": "draft", "turning.js": "web", "space.js": "draft"}
"""Files of other pages, and the room of the sheets they lie in."""
TYPES = {"js": "text/javascript", "css": "text/css", "html": "text/html", "svg": "image/svg+xml"}
CALM_MS, STEP_MS = 60, 15
"""How long a file must be left alone before it is read: an editor writes in more than one go."""
SETTLED_S = 0.15
"""After a first look: a further change may follow at once."""
BEAT_S = 15.0


class Board:
    """A desk with those who look at it."""

    def __init__(self, spec: Path, others: Sequence[Path] = ()) -> None:
        self.token = secrets.token_urlsafe(24)
        self.port = 0
        self._loop = asyncio.get_running_loop()
        self._looking: set[asyncio.Queue[str]] = set()
        self._asked = asyncio.Event()
        self.desk = Desk(spec, self._tell, others)

    def _tell(self, state: State) -> None:
        text = json.dumps(state, ensure_ascii=False)
        self._loop.call_soon_threadsafe(self._spread, text)

    def _spread(self, text: str) -> None:
        for queue in self._looking:
            # who is slow sees the newest only
            while not queue.empty():
                queue.get_nowait()
            queue.put_nowait(text)
        self._asked.set()

    @contextlib.contextmanager
    def looking(self) -> Any:
        """A queue of states for one page."""
        queue: asyncio.Queue[str] = asyncio.Queue()
        if self.desk.state["stage"] != "none":
            queue.put_nowait(json.dumps(self.desk.state, ensure_ascii=False))
        self._looking.add(queue)
        try:
            yield queue
        finally:
            self._looking.discard(queue)

    async def begin(self) -> None:
        """The first look of all."""
        await self._quietly(self.desk.first)

    async def watch(self) -> None:
        """A first look at every change of the spec, of its shop file or of a file it uses."""

        def ours(_change: object, path: str) -> bool:
            return path.endswith(".toml") and not Path(path).name.startswith(".")

        while True:
            folders = await asyncio.to_thread(self.desk.folders)
            async for _changes in awatch(
                *folders, watch_filter=ours, debounce=CALM_MS, step=STEP_MS, recursive=False
            ):
                await self._quietly(self.desk.first)
                if await asyncio.to_thread(self.desk.folders) != folders:
                    break  # it uses files of other folders now

    async def solve(self) -> None:
        """The whole answer a moment after each first look."""
        while True:
            await self._asked.wait()
            self._asked.clear()
            await asyncio.sleep(SETTLED_S)
            if not self._asked.is_set():
                await self._quietly(self.desk.whole)

    async def _quietly(self, call: Callable[[], None]) -> None:
        """A slow call in a thread; a file that is gone for the moment is waited for."""
        try:
            await asyncio.to_thread(call)
        except PedalplateError:
            return
        # the watch goes on whatever one look at the file met: what that was stands on the page
        except Exception as error:
            self.desk.surprised(error)


def application(board: Board) -> web.Application:
    """The pages and answers of a board."""
    app = web.Application(
        client_max_size=LONGEST_BODY, middlewares=[guarded(board.token, lambda: board.port)]
    )
    for path, answer in (
        ("", _page),
        ("{name:[a-z]+[.](?:js|css|svg)}", _file),
        ("events", _events),
        ("scene", _scene),
        ("space", _space),
        ("shelf", _shelf),
        ("rule/{code:[a-z0-9-]+}", _rule),
        ("mend/{number:[0-9]{1,4}}", _mend),
        ("pages/{paper:[A-Za-z0-9]{1,8}}", _pages),
        ("leaves/{number:[0-9]{1,4}}", _leaves),
        ("leaf/{number:[0-9]{1,4}}/{page:[0-9]{1,4}}", _leaf),
        ("beside", _others),
        ("beside/{number:[0-9]{1,3}}", _compared),
    ):
        app.router.add_get(f"/{{token}}/{path}", _with(board, answer))
    app.router.add_post("/{token}/form/{name:[a-z0-9_]{0,40}}", _with(board, _form))
    app.router.add_post("/{token}/seen/{name:[a-z0-9_]{1,120}}", _with(board, _seen))
    for does in ("edit", "undo", "redo"):
        app.router.add_post(f"/{{token}}/{does}", _with(board, _change))
    return app


def _with(board: Board, answer: Callable[[Board, web.Request], Any]) -> Any:
    async def handler(request: web.Request) -> web.StreamResponse:
        response: web.StreamResponse = await answer(board, request)
        return response

    return handler


@cache
def _text(name: str) -> str:
    return files("generators.board").joinpath(name).read_text(encoding="utf-8")


def _answer(text: str, kind: str, status: int = 200) -> web.Response:
    return web.Response(text=text, content_type=kind, charset="utf-8", headers=HEADERS, status=status)


def _json(content: Any, status: int = 200) -> web.Response:
    return _answer(json.dumps(content, ensure_ascii=False), "application/json", status)


async def _page(_board: Board, _request: web.Request) -> web.Response:
    return _answer(_text("board.html").replace("$space", kept("draft", "space.html")), TYPES["html"])


async def _file(_board: Board, request: web.Request) -> web.Response:
    name = request.match_info["name"]
    kind = TYPES[name.rpartition(".")[2]]
    if name == "three.js":
        return _answer(f"/*\n{licence()}*/\n{three_js()}", kind)
    if name in SHARED:
        return _answer(kept(SHARED[name], name), kind)
    if name in OWN:
        return _answer(_text(name), kind)
    raise web.HTTPNotFound


async def _events(board: Board, request: web.Request) -> web.StreamResponse:
    """Every state as a server-sent event (WHATWG HTML, 9.2), and a beat in between."""
    response = web.StreamResponse(headers={**HEADERS, "Content-Type": "text/event-stream; charset=utf-8"})
    await response.prepare(request)
    with board.looking() as queue, contextlib.suppress(ConnectionError):
        while True:
            try:
                text = await asyncio.wait_for(queue.get(), BEAT_S)
            except TimeoutError:
                await response.write(b": here\n\n")
                continue
            await response.write(f"data: {text}\n\n".encode())
    return response


async def _scene(board: Board, _request: web.Request) -> web.Response:
    return _json(await asyncio.to_thread(board.desk.scene))


async def _space(board: Board, _request: web.Request) -> web.Response:
    return _json(await asyncio.to_thread(board.desk.space))


async def _shelf(board: Board, _request: web.Request) -> web.Response:
    return _json(await asyncio.to_thread(board.desk.shelf))


async def _rule(_board: Board, request: web.Request) -> web.Response:
    try:
        return _json(asdict(explain(request.match_info["code"])))
    except LookupFault as error:
        raise web.HTTPNotFound from error


async def _mend(board: Board, request: web.Request) -> web.Response:
    """What clears a finding: words and the values to be typed."""
    try:
        return _json(await asyncio.to_thread(board.desk.mend, int(request.match_info["number"])))
    except Refused as error:
        return _json({"holds": False, "words": str(error), "edits": []}, 409)


async def _seen(board: Board, request: web.Request) -> web.Response:
    """Which picture the page looks at: it is drawn first."""
    board.desk.seen = request.match_info["name"]
    return _json({"ok": True})


async def _form(board: Board, request: web.Request) -> web.Response:
    """Another form of the job is looked at."""
    return await _told(board.desk.look_at, request.match_info.get("name", ""))


async def _pages(board: Board, request: web.Request) -> web.Response:
    """The files that would be printed on a paper."""
    return await _told(
        lambda paper: board.desk.pages.files(*board.desk.answer(), paper), request.match_info["paper"]
    )


async def _leaves(board: Board, request: web.Request) -> web.Response:
    """How many pages one of them has."""
    number = int(request.match_info["number"])
    return await _told(lambda: board.desk.pages.count(board.desk.answer()[1], number))


async def _leaf(board: Board, request: web.Request) -> web.Response:
    """One page as a picture."""
    number, page = int(request.match_info["number"]), int(request.match_info["page"])
    try:
        body = await asyncio.to_thread(lambda: board.desk.pages.picture(board.desk.answer()[1], number, page))
    except Refused as error:
        return _json({"ok": False, "words": str(error)}, 409)
    return web.Response(body=body, content_type="image/png", headers=HEADERS)


async def _others(board: Board, _request: web.Request) -> web.Response:
    """What the job can be compared with."""
    return await _told(lambda: board.desk.beside.listed(board.desk.forms))


async def _compared(board: Board, request: web.Request) -> web.Response:
    return await _told(board.desk.compared, int(request.match_info["number"]))


async def _told(call: Callable[..., Any], *given: Any) -> web.Response:
    """What a slow call answers, or in words why not."""
    try:
        return _json({"ok": True, "told": await asyncio.to_thread(call, *given)})
    except PedalplateError as error:
        return _json({"ok": False, "words": str(error)}, 409)


async def _change(board: Board, request: web.Request) -> web.Response:
    """An edit, an undo or a redo; what is refused is said in words."""
    try:
        wish = json.loads(await request.text())
    except (ValueError, RecursionError):
        return _json({"ok": False, "words": "not understood"}, 400)
    if not isinstance(wish, dict):
        return _json({"ok": False, "words": "not understood"}, 400)
    does = {"edit": board.desk.edit, "undo": board.desk.undo, "redo": board.desk.redo}
    call = does[request.path.rpartition("/")[2]]
    try:
        words = await asyncio.to_thread(call, wish)
    except Refused as error:
        return _json({"ok": False, "words": str(error)}, 409)
    except PedalplateError as error:
        return _json({"ok": False, "words": str(error)}, 409)
    # the page waits for the picture of this text before it sends its next change
    return _json({"ok": True, "words": words, "digest": board.desk.state["digest"]})


@contextlib.asynccontextmanager
async def served(spec: Path, port: int = 0, others: Sequence[Path] = ()) -> AsyncIterator[tuple[str, Board]]:
    """A board of one spec with the address of its page; ``others`` are what it can be compared with.

    Raises ``SpecError`` for a file that cannot be read, and ``ExportError`` for a port in use.
    """
    board = Board(spec, others)
    runner = web.AppRunner(application(board), access_log=None, handle_signals=False, shutdown_timeout=0.5)
    await runner.setup()
    site = web.TCPSite(runner, HOST, port)
    try:
        await site.start()
    except OSError as error:
        await runner.cleanup()
        raise ExportError(f"cannot listen on port {port}: {error.strerror or error}") from error
    board.port = runner.addresses[0][1]
    tasks = [asyncio.create_task(one) for one in (board.watch(), board.solve())]
    first = asyncio.create_task(board.begin())
    try:
        yield f"http://{HOST}:{board.port}/{board.token}/", board
    finally:
        for task in (*tasks, first):
            task.cancel()
        await asyncio.gather(*tasks, first, return_exceptions=True)
        await runner.cleanup()
