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
    """

    name: str
    must_happen: bool
    order: JobOrder = JobOrder.ORDINARY
