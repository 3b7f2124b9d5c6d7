"""The closed lists of progress notes. A value travels in JSON and stands in events, so it is
never renamed."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from billing.authorizations.domain.terms import Discipline
from practice.core.terms import Credential

THERAPIES: Final = frozenset({Discipline.PHYSICAL_THERAPY, Discipline.OCCUPATIONAL_THERAPY})
"""Of which progress notes are written. The time of trainers and massage therapists is no therapy
(CMS Pub. 100-02 ch. 15 section 220), and nobody of theirs could write one."""


WRITERS: Final = frozenset({Credential.PHYSICAL_THERAPIST, Credential.OCCUPATIONAL_THERAPIST})
"""Who writes a progress note: no assistant and no trainer, whomever the practice lets evaluate (CMS
Pub. 100-02 ch. 15 section 220.3.D, from memory)."""


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
