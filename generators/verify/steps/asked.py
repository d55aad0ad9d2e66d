"""All that the steps of one job must say beside what stands in the guide they were drawn from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from generators.verify.pdf.loose_ends import LooseEnd, loose_problems
from generators.verify.steps.cutting import Piece, cut_problems
from generators.verify.steps.lids import LidRoom, lid_problems
from generators.verify.steps.own import OwnHub, OwnSeat, own_problems
from generators.verify.steps.proving import Proof, proof_problems
from generators.verify.steps.singles import Single, single_problems
from generators.verify.steps.text import steps_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What no reader takes from the guide: loose ends, cuts, lids, pedals, and what no bag holds."""

    loose: tuple[LooseEnd, ...] = ()
    pieces: tuple[Piece, ...] = ()
    proofs: tuple[Proof, ...] = ()
    lids: tuple[LidRoom, ...] = ()
    hubs: tuple[OwnHub, ...] = ()
    seats: tuple[OwnSeat, ...] = ()
    singles: tuple[Single, ...] = ()

    def problems(self, pages: Iterable[str]) -> Iterator[str]:
        """What the text of all ``pages`` of a sheet lacks of it, each in the step it belongs to."""
        pages = list(pages)
        yield from loose_problems(pages, self.loose)
        steps = steps_of(pages)
        yield from cut_problems(steps, self.pieces)
        yield from proof_problems(steps, self.proofs)
        yield from lid_problems(steps, self.lids)
        yield from own_problems(steps, self.hubs, self.seats)
        yield from single_problems(steps, self.singles)


NOTHING = Asked()
