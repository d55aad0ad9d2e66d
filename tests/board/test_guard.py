"""Who is answered: this machine, with the token, from the page itself; and nobody else."""

from __future__ import annotations

import http.client
import json
import socket
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from boards import running, until

from generators.board.server import Board

JSON = {"Content-Type": "application/json"}


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Board]]:
    """A board of a spec that is not one: what is asked here comes before any drawing."""
    spec = tmp_path_factory.mktemp("guard") / "van.toml"
    spec.write_text('[job]\nname = "van"\n', encoding="utf-8")
    (spec.parent / "secret.txt").write_text("secret", encoding="utf-8")
    with running(spec) as (address, board):
        until(lambda: board.desk.state["stage"] == "faults")
        yield address, board


def ask(
    board: tuple[str, Board], path: str, method: str = "GET", body: str | None = None, **headers: str
) -> tuple[int, str, http.client.HTTPMessage]:
    """Status, text and headers of a request as it is written, with the right host unless another is given."""
    parts = urlsplit(board[0])
    assert parts.hostname == "127.0.0.1"
    line = http.client.HTTPConnection(parts.hostname, parts.port or 0, timeout=30)
    sent = {"Host": parts.netloc, **{key.replace("_", "-"): value for key, value in headers.items()}}
    line.request(method, path, body, sent)
    answer = line.getresponse()
    text = answer.read().decode("utf-8", "replace")
    line.close()
    return answer.status, text, answer.headers


def token(board: tuple[str, Board]) -> str:
    return board[1].token


def test_the_page_itself_is_answered(board: tuple[str, Board]) -> None:
    status, text, headers = ask(board, f"/{token(board)}/")
    assert status == 200
    assert "DRAFT" in text
    assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "http" not in text.replace("http-equiv", "")


def test_the_library_comes_with_its_licence(board: tuple[str, Board]) -> None:
    # the MIT licence asks for its notice in all copies (opensource.org/license/mit)
    status, text, _ = ask(board, f"/{token(board)}/three.js")
    assert status == 200
    assert "Permission is hereby granted, free of charge" in text
    assert text.index("*/") < text.index("THREE")


def test_the_wheel_holds_every_file_of_the_pages() -> None:
    root = Path(__file__).parents[2]
    globs = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"][
        "package-data"
    ]["generators"]
    for room, least in (
        ("board", 4),
        ("sheets/draft", 4),
        ("sheets/web", 3),
        ("sheets/manual", 3),
        ("sheets/manual/guide", 7),
    ):
        kept = [p for p in (root / "generators" / room).iterdir() if p.is_file() and p.suffix != ".py"]
        assert len(kept) >= least
        for path in kept:
            name = f"{room}/{path.name}"
            assert any(fnmatch(name, glob) and name.count("/") == glob.count("/") for glob in globs), name


def test_the_token_is_long_and_new_each_time(board: tuple[str, Board]) -> None:
    # 24 bytes as base64 without padding are 32 letters (RFC 4648, 5)
    assert len(token(board)) == 32
    with running(board[1].desk.spec) as (_, again):
        assert len(again.token) == 32
        assert again.token != token(board)


@pytest.mark.parametrize(
    "path", ["/", "/x/", "/{short}/", "/{long}/", "/{token}x/", "/TOKEN/events", "//{token}/"]
)
def test_no_token_no_answer(board: tuple[str, Board], path: str) -> None:
    right = token(board)
    status, text, _ = ask(board, path.format(short=right[:-1], long=f"{right}a", token=right))
    assert status in (403, 404)
    assert "DRAFT" not in text


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "evil.example"},
        {"Host": "evil.example:{port}"},
        {"Host": "127.0.0.1:1"},
        {"Host": "127.0.0.1"},
        {"Host": ""},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "https://127.0.0.1:{port}"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
    ],
)
def test_another_host_or_origin_is_refused(board: tuple[str, Board], headers: dict[str, str]) -> None:
    given = {key: value.format(port=board[1].port) for key, value in headers.items()}
    status, text, _ = ask(board, f"/{token(board)}/", **given)
    assert status == 403
    assert text.startswith("refused: another")


@pytest.mark.parametrize(
    "path",
    [
        "../secret.txt",
        "..%2fsecret.txt",
        "%2e%2e/secret.txt",
        "....//secret.txt",
        "secret.txt",
        "van.toml",
        "server.py",
        "__init__.py",
        "desk.js",
        "rule/../../x",
        "rule/no-such-rule",
        "board.html",
        "%00",
    ],
)
def test_only_its_own_files_are_given(board: tuple[str, Board], path: str) -> None:
    status, text, _ = ask(board, f"/{token(board)}/{path}")
    assert status in (400, 403, 404)
    assert "secret" not in text
    assert "import" not in text


def test_changes_want_the_page_s_own_origin_and_json(board: tuple[str, Board]) -> None:
    path, right = f"/{token(board)}/edit", f"http://127.0.0.1:{board[1].port}"
    before = board[1].desk.spec.read_bytes()
    wish = json.dumps(
        {"do": "set", "path": "job.name", "text": "other", "base": board[1].desk.state["digest"]}
    )
    assert ask(board, path, "POST", wish, **JSON)[0] == 403
    assert ask(board, path, "POST", wish, Origin="http://evil.example", **JSON)[0] == 403
    assert ask(board, path, "POST", wish, Origin=right, Content_Type="text/plain")[0] == 403
    assert ask(board, path, "PUT", wish, Origin=right, **JSON)[0] in (403, 405)
    assert ask(board, path, "POST", "nonsense", Origin=right, **JSON)[0] == 400
    assert ask(board, path, "POST", "[" * 50_000, Origin=right, **JSON)[0] == 400
    assert ask(board, path, "POST", "x" * 100_000, Origin=right, **JSON)[0] == 413
    assert board[1].desk.spec.read_bytes() == before
    status, text, _ = ask(board, path, "POST", wish, Origin=right, **JSON)
    assert (status, json.loads(text)["ok"]) == (200, True)
    assert board[1].desk.spec.read_text(encoding="utf-8") == '[job]\nname = "other"\n'


def test_what_the_page_has_not_seen_is_not_changed(board: tuple[str, Board]) -> None:
    path, right = f"/{token(board)}/edit", f"http://127.0.0.1:{board[1].port}"
    before = board[1].desk.spec.read_bytes()
    wish = json.dumps({"do": "set", "path": "job.name", "text": "third", "base": "0000000000000000"})
    status, text, _ = ask(board, path, "POST", wish, Origin=right, **JSON)
    assert status == 409
    assert "has changed since" in json.loads(text)["words"]
    assert board[1].desk.spec.read_bytes() == before


def test_it_listens_on_this_machine_alone(board: tuple[str, Board]) -> None:
    # 127/8 is the machine itself (RFC 1122, 3.2.1.3): a socket of all addresses answers at any of it, one of
    # 127.0.0.1 at none other
    with socket.create_connection(("127.0.0.1", board[1].port), timeout=30) as line:
        assert line.getpeername()[0] == "127.0.0.1"
    with pytest.raises(OSError, match=r"(?i)refused|unreachable|assign|timed out"):
        socket.create_connection(("127.0.0.2", board[1].port), timeout=5)


def test_it_leaves_nothing_beside_the_spec(board: tuple[str, Board]) -> None:
    assert sorted(path.name for path in board[1].desk.spec.parent.iterdir()) == ["secret.txt", "van.toml"]


def test_a_file_it_uses_is_seen_in_whatever_folder(tmp_path: Path) -> None:
    spec, within = tmp_path / "van.toml", tmp_path / "shared" / "deep"
    within.mkdir(parents=True)
    spec.write_text('use = ["shared/cab.toml"]\n[job]\nname = "van"\n', encoding="utf-8")
    (tmp_path / "shared" / "cab.toml").write_text('use = ["shared/deep/wall.toml"]\n', encoding="utf-8")
    (within / "wall.toml").write_text("[sizes]\na = 1\n", encoding="utf-8")
    with running(spec) as (_, board):
        until(lambda: board.desk.state["stage"] == "faults")
        assert [p.relative_to(tmp_path.resolve()).as_posix() for p in board.desk.folders()] == [
            ".",
            "shared",
            "shared/deep",
        ]
        faults = board.desk.state["faults"]
        (within / "wall.toml").write_text("[sizes]\na = true\n", encoding="utf-8")
        until(lambda: board.desk.state["faults"] != faults)
