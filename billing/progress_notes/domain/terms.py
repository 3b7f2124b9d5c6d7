"""The closed lists of progress notes. A value travels in JSON and stands in events, so it is
never renamed."""

from __future__ import annotations

from enum import StrEnum


class KeptAs(StrEnum):
    """Where the note itself is, as long as it is not written here."""

    PAPER = "paper"
    OTHER = "other"


class PeriodStatus(StrEnum):
    """How near a period is to the day by which the payer asks for its note."""

    RUNNING = "running"
    COMING = "coming"
    DUE = "due"
    OVERDUE = "overdue"
