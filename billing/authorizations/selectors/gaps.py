"""What of the payer's authorization is missing for some sessions: read once for all of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from billing.authorizations.domain.advisories import RemainingBalance
from billing.authorizations.domain.day_coverage import NOT_COVERED, RUNS_OUT, coverage_gap
from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import billing_settings
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
    held, booked = _held(clients), _booked(clients)
    settings = billing_settings()
    gaps = {
        row.pk: coverage_gap(row.local_date, held[row.client_id], booked[row.client_id], settings)
        for row in sessions
        if row.pk not in paying
    }
    return {key: [code] for key, code in gaps.items() if code}


def _held(clients: set[UUID]) -> defaultdict[UUID, list[RemainingBalance]]:
    found: defaultdict[UUID, list[RemainingBalance]] = defaultdict(list)
    for one in Authorization.objects.filter(client_id__in=clients, voided_at=None):
        found[one.client_id].append(remaining_of(one))
    return found


def _booked(clients: set[UUID]) -> defaultdict[UUID, list[date]]:
    """The days on which sessions hold a time of some clients."""
    rows = Session.objects.filter(client_id__in=clients, status__in=TIME_HOLDING_STATUSES)
    found: defaultdict[UUID, list[date]] = defaultdict(list)
    for client_id, day in rows.values_list("client_id", "local_date").distinct():
        found[client_id].append(day)
    return found


COVERAGE_GAPS = GapSource(
    {
        NOT_COVERED: "No authorization with anything left covers it: ask the payer.",
        RUNS_OUT: "The authorization runs out: ask the payer.",
    },
    _coverage_gaps,
)
