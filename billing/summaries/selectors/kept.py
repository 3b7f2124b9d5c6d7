"""Summaries as they were sent, and what was corrected since."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Authorization
from billing.summaries.domain.corrections import Now, corrected_since
from billing.summaries.domain.decisions import visits_of
from billing.summaries.domain.rows import rows_of_visits
from billing.summaries.domain.state import KEPT_SUMMARIES, VISIT_CHANGES, KeptSummary
from billing.summaries.models import Disclosure
from billing.summaries.selectors.export import row_facts_of
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http.roles import DIAGNOSES
from practice.policy.models import PRACTICE_ID, Practice
from practice.work import loading


def kept_summary(disclosure: Disclosure, role: Role) -> KeptSummary:
    """A summary as it was sent.

    Rejected 410 where the record was erased and the summary with it, 403 where it holds
    diagnoses that the role may not read.
    """
    states = loading.load_states(disclosure.client_id, (KEPT_SUMMARIES,))
    kept = states[KEPT_SUMMARIES].get(disclosure.pk)
    if kept is None:
        raise Rejected(
            "summary_erased",
            "The record was erased and this summary with it. The disclosure keeps when it was "
            "sent, to whom and why, and the SHA-256 of each form.",
            status=410,
        )
    if kept.event.diagnoses and role not in DIAGNOSES:
        raise Rejected(
            "diagnoses_not_yours",
            "This summary holds diagnoses, which your role does not read. Billing can read it.",
            status=403,
        )
    return kept


def with_corrected_since(rows: Sequence[Disclosure]) -> list[dict[str, Any]]:
    """Summaries of one client as shown, with the visits that were corrected since each was
    sent; None where the record was erased and nobody can tell any more."""
    if not rows:
        return []
    states = loading.load_states(
        rows[0].client_id, (AUTHORIZATION_BALANCE, KEPT_SUMMARIES, VISIT_CHANGES)
    )
    zone = Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)
    authorizations = Authorization.objects.in_bulk({row.authorization_id for row in rows})
    now: dict[UUID, Now] = {}
    for key, facts in row_facts_of(authorizations.values()).items():
        visits = visits_of(states[AUTHORIZATION_BALANCE], key, date.min, date.max)
        now[key] = Now(rows_of_visits(visits, facts), states[VISIT_CHANGES], zone)
    shown = []
    for row in rows:
        kept = states[KEPT_SUMMARIES].get(row.pk)
        corrections = corrected_since(kept, now[kept.event.authorization_id]) if kept else None
        shown.append(
            {
                **{name: getattr(row, name) for name in _SHOWN},
                "authorization_number": authorizations[row.authorization_id].number,
                "corrected_since_sent": None if corrections is None else bool(corrections),
                "corrections": corrections or (),
            }
        )
    return shown


_SHOWN = (
    "id",
    "disclosed_at",
    "disclosed_by",
    "disclosed_by_name",
    "recipient",
    "purpose",
    "starts_on",
    "ends_on",
    "authorization_id",
    "sha256",
)
