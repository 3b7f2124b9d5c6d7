"""What a payer's settings say, as the pure decisions are given them. The words of the closed
lists travel in JSON and stand in events, so they are never renamed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final
from uuid import UUID

from billing.payers.domain.rates import YearlyThreshold
from practice.core.terms import Credential, SessionPart

TREATMENT_DAYS: Final = 10
"""CMS Pub. 100-02 ch. 15 section 220: a progress report at least once every 10 treatment days."""
WARN_TREATMENT_DAYS: Final = 2
"""Practice policy; no published value."""
WARN_CALENDAR_DAYS: Final = 7
"""Practice policy; no published value."""


class UnitRule(StrEnum):
    """How a payer makes units from minutes; stored on the payer by this name."""

    CMS_TOTAL_TIME = "cms_total_time"


class VisitDefinition(StrEnum):
    """What a payer counts as one visit: a calendar day, or each session."""

    CALENDAR_DAY = "calendar_day"
    SESSION = "session"


@dataclass(frozen=True, slots=True)
class ProgressNoteRule:
    """How often a payer asks for a progress note: by the last of so many treatment days of its
    period and, where the payer says so, by the last of so many calendar days; the first treatment
    day is the first of both. So many treatment days or calendar days before it is warned of.
    ``source``: where the payer says so."""

    source: str
    treatment_days: int = TREATMENT_DAYS
    calendar_days: int | None = None
    warn_treatment_days: int = WARN_TREATMENT_DAYS
    warn_calendar_days: int = WARN_CALENDAR_DAYS


@dataclass(frozen=True, slots=True)
class PayerRules:
    """A payer's settings at one revision, those in force last.

    ``codes`` maps a part of the session, delivered by a credential, to the practice's own
    service code; ``untimed`` are the codes that count once a day whatever the minutes, and
    ``group_code`` the one for time with several clients at once. ``rates`` are what it pays for a
    unit of a code, in its ``currency``. ``progress_note_rule``: None where it asks for no
    progress notes. ``earlier`` are the rules that were in force before, oldest first, each up to
    the day before its ``until``.
    """

    payer_id: UUID
    name: str
    revision: int
    unit_rule: UnitRule = UnitRule.CMS_TOTAL_TIME
    visit_definition: VisitDefinition = VisitDefinition.CALENDAR_DAY
    paid_credentials: frozenset[Credential] = frozenset()
    codes: Mapping[tuple[SessionPart, Credential], str] = field(default_factory=dict)
    untimed: frozenset[str] = frozenset()
    group_code: str = ""
    currency: str = ""
    rates: Mapping[str, Decimal] = field(default_factory=dict)
    yearly_thresholds: tuple[YearlyThreshold, ...] = ()
    progress_note_rule: ProgressNoteRule | None = None
    until: date | None = None
    earlier: tuple[PayerRules, ...] = ()

    def on(self, day: date) -> PayerRules:
        """The rules in force on a day: a day is calculated by those of that day."""
        return next((one for one in self.earlier if one.until and day < one.until), self)


PayerRulesById = Mapping[UUID, PayerRules]


@dataclass(frozen=True, slots=True)
class KnownCodes:
    """What the practice's own settings allow an authorization to name."""

    service_codes: frozenset[str]
    practitioners: frozenset[UUID]
