"""What of the payer's authorization is missing for some sessions: read once for all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from billing.authorizations.domain.advisories import BillingSettings
from billing.authorizations.domain.day_coverage import (
    NOT_COVERED,
    NOTHING_PAID,
    RUNS_OUT,
    coverage_gap,
)
from billing.authorizations.domain.eligibility import PayerFacts
from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import billing_settings
from billing.authorizations.selectors.eligibility import draws, payer_facts
from billing.authorizations.selectors.naming import remaining_of
from billing.payers.selectors import has_payers
from billing.self_pay.selectors import self_paying_on
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource


def _coverage_gaps(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    if not has_payers():
        return {}
    clients = {row.client_id for row in sessions}
    these = Session.objects.filter(pk__in=[row.pk for row in sessions])
    paying = set(
        these.annotate(self_paying=self_paying_on("local_date"))
        .filter(self_paying=True)
        .values_list("pk", flat=True)
    )
    held = _held(clients)
    known = payer_facts({one.payer_id for some in held.values() for one in some})
    booked = _booked(clients, held, known)
    settings = billing_settings()
    gaps = {
        row.pk: _gap(row, held[row.client_id], booked[row.client_id], known, settings)
        for row in sessions
        if row.pk not in paying
    }
    return {key: [code] for key, code in gaps.items() if code}


def _gap(
    row: Session,
    held: Sequence[Authorization],
    booked: Sequence[date],
    known: PayerFacts,
    settings: BillingSettings,
) -> str | None:
    """Of the authorizations of its day only those count that pay for anything of the session."""
    covering = [one for one in held if one.starts_on <= row.local_date <= one.last_day]
    drawn = [one for one in covering if draws(known, one, row)]
    if covering and not drawn:
        return NOTHING_PAID
    return coverage_gap(row.local_date, [remaining_of(one) for one in drawn], booked, settings)


def _held(clients: set[UUID]) -> defaultdict[UUID, list[Authorization]]:
    found: defaultdict[UUID, list[Authorization]] = defaultdict(list)
    for one in Authorization.objects.filter(client_id__in=clients, voided_at=None):
        found[one.client_id].append(one)
    return found


def _booked(
    clients: set[UUID], held: Mapping[UUID, Sequence[Authorization]], known: PayerFacts
) -> defaultdict[UUID, list[date]]:
    """The days on which sessions of some clients hold a time and draw on an authorization."""
    rows = Session.objects.filter(client_id__in=clients, status__in=TIME_HOLDING_STATUSES)
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for row in rows.only("client_id", "local_date", "practitioner_id", "credential", "class_id"):
        if any(draws(known, one, row) for one in held[row.client_id]):
            found[row.client_id].append(row.local_date)
    return found


COVERAGE_GAPS = GapSource(
    {
        NOT_COVERED: "No authorization with anything left covers it: ask the payer.",
        NOTHING_PAID: (
            "The payer pays nothing of a session with this practitioner: ask the client, or move"
            " it."
        ),
        RUNS_OUT: "The authorization runs out: ask the payer.",
    },
    _coverage_gaps,
)
