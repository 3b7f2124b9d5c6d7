"""The decision that something of the record leaves the practice. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from uuid import UUID

import msgspec

from billing.authorizations.domain.day_warnings import units_waiting
from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.state import AuthorizationBalance
from billing.summaries.domain.corrections import Now, corrections_of, with_corrections
from billing.summaries.domain.document import SummaryDocument, SummaryHeading
from billing.summaries.domain.events import RecordDisclosed, VisitSummaryKept
from billing.summaries.domain.forms import digests_of, forms_of
from billing.summaries.domain.rows import totals_of
from billing.summaries.domain.state import KeptSummaries, KeptSummary
from practice.core.reasons import Reason, Rejected

VISIT_SUMMARY = "authorized_visit_summary"
"""What is disclosed: the summary of an authorization's visits, without narrative."""


class ExportSummary(msgspec.Struct, frozen=True, kw_only=True):
    """An export: to whom and why; the period (both days included) is the authorization's own
    where it is not given. ``no_visits``: a statement of none is wanted where there are none.
    ``diagnoses``: they are to be in it. ``overrule``: why it is to be sent although units of its
    visits wait for a person's choice."""

    recipient: str
    purpose: str
    starts_on: date | None = None
    ends_on: date | None = None
    no_visits: bool = False
    diagnoses: bool = False
    overrule: str = ""


def visits_of(
    balance: AuthorizationBalance, authorization_id: UUID, first: date, last: date
) -> list[VisitCalculated]:
    """The visits of an authorization in a period, both days included, as far as they are final:
    sessions whose note awaits its co-signature are left out, and visits of such alone."""
    return [
        final
        for visit in balance.visits.values()
        if visit.last.authorization_id == authorization_id
        and first <= visit.last.local_date <= last
        and (final := _final(visit.last)) is not None
    ]


def _final(visit: VisitCalculated) -> VisitCalculated | None:
    sessions = tuple(one for one in visit.sessions if not one.awaits_co_signature)
    if sessions == visit.sessions:
        return visit
    return msgspec.structs.replace(visit, sessions=sessions) if sessions else None


def check_visits(
    visits: Sequence[VisitCalculated],
    first: date,
    last: date,
    *,
    wanted: bool,
    unsettled: Callable[[], Sequence[Reason]] = tuple,
) -> None:
    """Rejected 409 where an export would hold no visit, unless a statement of none is ``wanted``.

    Nothing leaves the practice then, and nothing is logged as a disclosure. ``unsettled``: what
    may be why, asked for then alone: a statement of none would be sent for ever.
    """
    if not wanted and not visits:
        reasons = list(unsettled())
        told = "".join(f" {one.text}" for one in reasons)
        raise Rejected(
            "no_visits",
            f"No visit of this authorization lies from {first} to {last}.{told} Choose other days,"
            " or ask for a statement of no visits (`no_visits`).",
            reasons=reasons,
        )


def check_choices(number: str, visits: Sequence[VisitCalculated], overrule: str) -> str:
    """Why a summary is sent although units of its visits wait for a person's choice; empty where
    none wait. Rejected 409 where some do and nobody says why: once sent it stays as it is."""
    waiting = units_waiting(number, sorted(one.local_date for one in visits if one.undecided))
    if waiting and not overrule.strip():
        told = " ".join(one.text for one in waiting)
        raise Rejected(
            "units_await_override",
            f"{told} Or say in `overrule` why it is to be sent all the same.",
            reasons=waiting,
        )
    return overrule.strip() if waiting else ""


def make_summary(
    heading: SummaryHeading,
    visits: Sequence[VisitCalculated],
    amounts: dict[str, int | None],
    earlier: KeptSummaries,
    now: Now,
) -> SummaryDocument:
    """The summary of some visits, with what was corrected since ``earlier`` ones of the same
    authorization. ``now`` has the rows of all its visits, of which those of the period stand in
    it."""

    def in_period(day: date) -> bool:
        return heading.period_start <= day <= heading.period_end

    corrections = corrections_of(list(earlier.values()), now, in_period)
    rows = tuple(row for row in now.rows if in_period(row.date))
    return SummaryDocument(
        heading=heading,
        rows=with_corrections(rows, corrections, earlier, now.zone),
        totals=totals_of(rows, visits, amounts),
        corrections=corrections,
    )


def send_summary(
    document: SummaryDocument,
    authorization_id: UUID,
    payer_id: UUID,
    command: ExportSummary,
    overruled: str = "",
) -> list[RecordDisclosed | VisitSummaryKept]:
    """The disclosure with the digests of what was sent, and what was sent itself."""
    heading, forms = document.heading, forms_of(document)
    return [
        RecordDisclosed(
            disclosure_id=heading.summary_id,
            what=VISIT_SUMMARY,
            recipient=command.recipient,
            purpose=command.purpose,
            starts_on=heading.period_start,
            ends_on=heading.period_end,
            authorization_id=authorization_id,
            payer_id=payer_id,
            sha256=digests_of(forms),
        ),
        VisitSummaryKept(
            summary_id=heading.summary_id,
            authorization_id=authorization_id,
            starts_on=heading.period_start,
            ends_on=heading.period_end,
            forms=forms,
            diagnoses=bool(heading.diagnoses),
            overruled=overruled,
        ),
    ]


def overruled_warnings(kept: VisitSummaryKept) -> list[Reason]:
    """Why it was sent although units waited, where someone said so."""
    if not kept.overruled:
        return []
    text = f"Sent all the same: {kept.overruled}"
    return [Reason(code="overruled", text=text, source="who sent it")]


def correction_warnings(kept: KeptSummary) -> list[Reason]:
    """That a summary says otherwise than an earlier one, where it does."""
    corrections = kept.document.corrections
    if not corrections:
        return []
    days = ", ".join(sorted({str(one.date) for one in corrections}))
    return [
        Reason(
            code="corrected_since_sent",
            text=f"An earlier summary said otherwise of visits on these days: {days}. This one "
            "shows what was sent and what is right.",
            source="the summaries that were sent",
        )
    ]
