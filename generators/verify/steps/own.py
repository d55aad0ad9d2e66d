"""What no bag holds and the steps ask for: it must stand in the list of such things and in its own step."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generators.figures import format_short
from generators.units import UnitSystem
from generators.verify.pdf.content import plain
from generators.verify.steps.text import says

LIST = "Not in the box: have these yourself"
FROM = "from the vehicle, or"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnHub:
    """A pedal whose hub hangs on a shaft of the job between cheeks ``between_mm`` apart."""

    title: str
    between_mm: float
    units: UnitSystem = "metric"

    @property
    def told(self) -> str:
        """The room it takes, as it is said in both places."""
        return f"together fill the {format_short(self.between_mm, self.units)} between the cheeks"


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSeat:
    """A thing fixed to the vehicle and to no part of the job, by its title: what carries it is in no bag."""

    title: str


def own_problems(steps: Sequence[str], hubs: Sequence[OwnHub], seats: Sequence[OwnSeat]) -> Iterator[str]:
    """What is missing of them, in the list before the first of the steps and in the steps, without blanks."""
    head = steps[0] if steps else ""
    _, there, listed = head.partition(plain(LIST))
    if (hubs or seats) and not there:
        yield f"has no list {LIST!r}"
        return
    bags = head.partition(plain("Parts by bag"))[2].partition(plain("How tight"))[0]
    for hub in hubs:
        if bags and not says(bags, f"the {hub.title} itself, with its hub, bush and spacers"):
            yield f"does not say beside its bags that the hub of the {hub.title} is in none"
        if not all(says(listed, words) for words in (f"Hub of the {hub.title}", FROM, hub.told)):
            yield f"does not list what the hub of the {hub.title} needs"
        own = [step for step in steps[1:] if step.startswith(plain(f"Fit the {hub.title} and its pivot."))]
        if not any(says(step, hub.told) and says(step, "comes from the vehicle") for step in own):
            yield f"does not say in its step that the hub of the {hub.title} comes from the vehicle"
    for seat in seats:
        if bags and not says(bags, f"the bracket the {seat.title} goes on, with its bolts"):
            yield f"does not say beside its bags that the bracket of the {seat.title} is in none"
        if not says(listed, f"{seat.title[:1].upper()}{seat.title[1:]} a bracket on the vehicle"):
            yield f"does not list the bracket of the {seat.title}"
        own = [step for step in steps[1:] if step.startswith(plain(f"Fit the {seat.title} "))]
        if not any(says(step, "a bracket of the vehicle, which this job does not bring") for step in own):
            yield f"does not say in its step that the bracket of the {seat.title} is in no bag"
