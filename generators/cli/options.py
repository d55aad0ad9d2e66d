"""What several commands are asked with: the spec, its form, where to, on what paper, as JSON."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from generators.cli.paths import InputPath, OutputPath, Paper, SheetWords, Words
from generators.model.spec.selling.kit import MOST_SETS

Decorator = Callable[[Any], Any]

OUT = Path("templates_out")
"""Where files go that no folder was named for."""


def input_argument(name: str = "spec") -> Decorator:
    """A file to read, asked for in the place it stands."""
    return click.argument(name, type=InputPath())


def variant_option(
    words: str = "A form of the job: a [[variant]] of SPEC.", name: str = "--variant"
) -> Decorator:
    """Which form of the job a command looks at; an empty text for the job as written."""
    return click.option(name, type=Words(), default="", metavar="NAME", help=words)


def out_option(words: str) -> Decorator:
    """The folder a command writes into, always."""
    return click.option("--out", type=OutputPath(), default=OUT, show_default=True, help=words)


def out_if_asked_option(words: str) -> Decorator:
    """The folder a command writes into where one is named; else ``None``, and nothing is written."""
    return click.option("--out", type=OutputPath(), default=None, metavar="FOLDER", help=words)


def paper_option(words: str) -> Decorator:
    """The paper of what is printed."""
    return click.option("--paper", type=Paper(), default="A4", show_default=True, metavar="PAPER", help=words)


def sets_option(words: str) -> Decorator:
    """How many of the job are made at a time."""
    return click.option("--sets", type=click.IntRange(1, MOST_SETS), default=1, show_default=True, help=words)


def seed_option(default: int, words: str | None = None) -> Decorator:
    """Where what is drawn at random begins: one seed gives one answer."""
    return click.option("--seed", type=click.IntRange(0), default=default, show_default=True, help=words)


def scheduler_option(words: str) -> Decorator:
    """The address of a Dask scheduler; an empty text for none."""
    return click.option("--on", type=Words(), default="", metavar="ADDRESS", help=words)


def accept_option() -> Decorator:
    """Codes of rules that may fail; `make.waivers_of` reads them with the reasons."""
    return click.option(
        "--accept", multiple=True, metavar="CODE", help="Release files although this rule failed."
    )


def because_option(words: str) -> Decorator:
    """Reasons of what is accepted; they are printed."""
    return click.option("--because", type=SheetWords(), multiple=True, metavar="REASON", help=words)


def json_option(words: str = "Result as JSON on stdout.") -> Decorator:
    """Answer as JSON instead of lines for a person."""
    return click.option("--json", "as_json", is_flag=True, help=words)
