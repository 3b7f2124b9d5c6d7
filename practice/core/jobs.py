"""What a kind of job is: whether it must happen, and what it gives way to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


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
    """

    name: str
    must_happen: bool
    order: JobOrder = JobOrder.ORDINARY
    together: int = 1
