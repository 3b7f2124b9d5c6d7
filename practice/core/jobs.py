"""What a kind of job is: whether it must happen, and what it gives way to."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Any


class JobOrder(IntEnum):
    """What goes first where much is due at once: the smaller number."""

    REMINDER = 1
    """Somebody waits for it: a call, a mail."""
    ORDINARY = 5
    SWEEP = 9
    """One row for every client."""


@dataclass(frozen=True, kw_only=True)
class JobKind:
    """One kind of job.

    ``must_happen``: it is tried until it is done, with pauses that grow to a bound. What need
    not happen (mail to somebody) is tried for days, then given up and shown to the owner.

    ``together``: how many that are due at once may be done in one transaction, their clients
    locked first. A handler joins by naming more than one, if its ``subject`` is a client, it
    locks nobody and nothing else, and its work is short: whoever asks for one of the clients
    waits for all of them. Where one fails, nothing of any is done and each is done by itself.
    Of a kind with a ``JobHandover``: how many may be under way between two commits. A delivery
    never joins.
    """

    name: str
    must_happen: bool
    order: JobOrder = JobOrder.ORDINARY
    together: int = 1


@dataclass(frozen=True, kw_only=True)
class JobHandover:
    """How the small things of a kind go to the world outside, several between two commits.

    ``prepare(jobs)``: decides on each and counts the tries of those that go, all in one commit,
    before any goes; for each job what hands it over, else why it does not go. What it raises
    is of several none's in particular: each is then prepared by itself.
    ``taken(jobs)``: writes down that they were taken, in the transaction that marks them done. Of
    several it waits for no row that somebody is changing: it raises LeaseLost, and each is
    written down by itself.
    ``not_begun(jobs)``: takes back the count of those that will be prepared again.
    """

    prepare: Callable[[Sequence[Any]], Sequence[Callable[[], None] | Exception]]
    taken: Callable[[Sequence[Any]], None]
    not_begun: Callable[[Sequence[Any]], None]
