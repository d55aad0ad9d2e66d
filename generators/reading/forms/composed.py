"""A spec whose tables come from more than one place: each key still knows its file and line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from generators.reading.toml.paths import Path
from generators.reading.toml.positions import Place, Places
from generators.reading.toml.source import TomlSource


@dataclass(frozen=True)
class Composed(TomlSource):
    """``moved`` says where a table or a value is written that is not where its path says.

    ``text`` and ``data_bytes`` are those of ``main``, the spec itself, the only file that is ever edited.
    With ``mirrored`` its places are read as in a mirror left for right. ``lent`` are files whose values may
    be given in the spec itself instead: those of the shelf.
    """

    main: TomlSource = field(kw_only=True)
    moved: Mapping[Path, tuple[TomlSource, Path]] = field(kw_only=True)
    mirrored: bool = field(kw_only=True, default=False)
    lent: frozenset[str] = field(kw_only=True, default=frozenset())

    @property
    def mirror(self) -> bool:
        """True where the job is the mirror image of what is written."""
        return self.mirrored

    def origin(self, path: Path) -> tuple[TomlSource, Path]:
        """The file a path is written in, and its path there."""
        for end in range(len(path), 0, -1):
            if path[:end] in self.moved:
                source, start = self.moved[path[:end]]
                return source, (*start, *path[end:])
        return self.main, path

    def is_lent(self, path: Path) -> bool:
        """True for a value of the shelf: the spec may give its own."""
        return self.origin(path)[0].file in self.lent

    @cached_property
    def places(self) -> Places:
        """The places of the spec's own text by the paths of the whole."""
        return _MovedPlaces(self)


class _MovedPlaces(Places):
    """Places of a composed spec; ``span`` and ``header`` know only the spec's own text, which is edited."""

    def __init__(self, source: Composed) -> None:
        self._whole = source

    def key(self, path: Path) -> Place:
        source, there = self._whole.origin(path)
        return source.places.key(there)

    def value(self, path: Path) -> Place:
        source, there = self._whole.origin(path)
        return source.places.value(there)

    def span(self, path: Path) -> tuple[int, int] | None:
        source, there = self._whole.origin(path)
        return source.places.span(there) if source is self._whole.main else None

    def header(self, path: Path) -> Place | None:
        source, there = self._whole.origin(path)
        return source.places.header(there) if source is self._whole.main else None
