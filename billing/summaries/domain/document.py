"""What a visit summary says: rows, totals, and what was corrected since an earlier one. Pure."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

# None of these can lie in a cycle: the collector, which looks at each that it knows again and
# again, takes half the time of a long export otherwise (``gc=False``).
Day = date  # A row's own field ``date`` hides the type behind it.


class SummaryHeading(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Whose authorization, of which payer, over which days (both included).

    ``diagnoses`` are ICD-10-CM codes, empty where none were asked for; ``exported_on`` is the
    day of the disclosure on the practice's clock.
    """

    summary_id: UUID
    exported_on: date
    practice: str
    client: str
    birth_date: date | None
    payer: str
    authorization_number: str
    member_id: str
    authorized_from: date
    authorized_until: date
    ended_on: date | None
    diagnoses: tuple[str, ...]
    period_start: date
    period_end: date


class SummaryRow(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """One visit × service code: what was noted and used of it; the code is empty where the work
    has none.

    ``minutes`` as noted; ``units_waiting_at_most``: so many more units of this code may come
    of a choice that a person has yet to make. ``sent_on`` is the day of the earlier summary
    that said otherwise, ``correction`` what it said and what is true now.
    """

    visit_id: UUID
    date: date
    discipline: str
    facility_ids: tuple[UUID, ...]
    facility: str
    practitioner_ids: tuple[UUID, ...]
    practitioner: str
    credential: str
    npi: str
    service_code: str
    description: str
    minutes: int = 0
    units: int = 0
    units_waiting_at_most: int = 0
    covered: str = ""
    reasons: str = ""
    used_after_end: str = ""
    signed_at: str = ""
    signed_by: str = ""
    sent_on: Day | None = None
    correction: str = ""
    correction_reason: str = ""

    @property
    def key(self) -> tuple[UUID, str]:
        """Which row of which visit it is, in any summary."""
        return self.visit_id, self.service_code


class CodeTotal(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """The sums of one service code."""

    service_code: str
    description: str
    minutes: int
    units: int


class SummaryTotals(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """The sums of the rows, and what the authorization has left (None: not limited)."""

    visits: int
    visits_counted: int
    minutes: int
    units: int
    units_waiting: int
    by_code: tuple[CodeTotal, ...]
    authorization: dict[str, int | None]


class FieldCorrection(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A field of a row: what was sent and what is true now; None: there was no such row."""

    service_code: str
    field: str
    sent: str | int | None
    now: str | int | None


class CorrectionReason(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """What changed a visit, when it was recorded, and why, where a reason was given."""

    recorded_at: datetime
    what: str
    reason: str = ""


class VisitCorrection(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A visit that is not any more as an earlier summary said."""

    summary_id: UUID
    sent_at: datetime
    visit_id: UUID
    date: date
    discipline: str
    corrected_fields: tuple[FieldCorrection, ...]
    reasons: tuple[CorrectionReason, ...] = ()


class SummaryDocument(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A whole visit summary."""

    heading: SummaryHeading
    rows: tuple[SummaryRow, ...]
    totals: SummaryTotals
    corrections: tuple[VisitCorrection, ...] = ()
