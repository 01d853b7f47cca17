"""One line of the page of marks, and the page."""

from __future__ import annotations

from dataclasses import dataclass

from consult.practice.marking.table import MOST, MOST_OTHER, POINTS


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that was marked, hung on the moment of the call it is about."""

    criterion: str
    """A name of ``table.CRITERIA``."""
    name: str
    """What was marked, in a few words."""
    got: float
    of: float
    fails: bool
    """Fails the call whatever else was good in it."""
    turn: int
    """Number of the turn it hangs on; 0 only where nothing at all was said."""
    why: str
    """What happened, in a plain sentence."""
    better: str
    """What a good adviser would have said or done; '' where that was done."""
    behaviour: str = ""
    """Name of the caller's behaviour that it is about; '' where it is about none."""


@dataclass(frozen=True, slots=True)
class Marks:
    """What an exercise is worth."""

    items: tuple[Item, ...]

    @property
    def total(self) -> float:
        """Points, to a tenth; of a failed call no more than what failed it leaves."""
        return round(min(sum(one.got for one in self.items), self.most), 1)

    @property
    def most(self) -> float:
        """The most points that this call can have: what fails it sets a limit."""
        limits = (MOST.get(one.criterion, MOST_OTHER) for one in self.failed_by)
        return self.out_of * min(limits, default=1.0)

    @property
    def out_of(self) -> float:
        """The most there was to get, to a tenth."""
        return round(sum(one.of for one in self.items), 1)

    @property
    def share(self) -> float:
        """Of the most there was to get, 0 to 1."""
        return self.total / self.out_of if self.out_of else 0.0

    @property
    def failed_by(self) -> tuple[Item, ...]:
        """What fails the call outright."""
        return tuple(one for one in self.items if one.fails)

    @property
    def full(self) -> bool:
        """Nothing could have been better."""
        return not self.failed_by and all(one.got >= one.of for one in self.items)

    @property
    def passed(self) -> bool:
        """The chair fits the true body, no sign was missed, consent was kept, all in time."""
        return not self.failed_by

    def of(self, criterion: str) -> tuple[Item, ...]:
        """The items of one criterion."""
        return tuple(one for one in self.items if one.criterion == criterion)


@dataclass(frozen=True, slots=True)
class Finding:
    """What a criterion found about one thing, before points are shared out."""

    name: str
    share: float
    """Of its points, 0 to 1."""
    turn: int
    why: str
    better: str = ""
    fails: bool = False
    behaviour: str = ""
    weight: float = 1.0
    """Against the other findings of the criterion."""


def items(criterion: str, found: list[Finding]) -> tuple[Item, ...]:
    """The points of a criterion shared out over what it found, by weight."""
    each = POINTS[criterion] / sum(one.weight for one in found) if found else 0.0
    return tuple(
        Item(
            criterion=criterion,
            name=one.name,
            got=each * one.weight * min(max(one.share, 0.0), 1.0),
            of=each * one.weight,
            fails=one.fails,
            turn=one.turn,
            why=one.why,
            # What was done fully needs no better way.
            better=one.better if one.share < 1 or one.fails else "",
            behaviour=one.behaviour,
        )
        for one in found
    )
