"""Touch consent as shown: what stands, what is suspended or ended, and why."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from clients.consent.domain.cautions import language_warning
from clients.consent.domain.event_texts import scope_text
from clients.consent.domain.events import NarrowedScope
from clients.consent.domain.guardian_end import guardian_end_warning, guardianship_end_warning
from clients.consent.domain.ledger import ConsentLedger, Grant, Narrowing
from clients.consent.domain.standing import against_signer, against_standing
from clients.consent.domain.state import consent_facts
from clients.consent.domain.terms import ConsentMethod, ConsentSigner, ConsentStatus, GrantStatus
from clients.consent.selectors import Signing, ages_for, consent_ages, consent_of
from clients.consent.serializers import ConsentOutputSerializer
from clients.identity.models import Client
from clients.identity.selectors import client_details_row
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.reasons import Reason
from practice.core.terms import Role

NO_CONSENT: dict[str, Any] = {
    "status": ConsentStatus.NONE,
    "consent_id": None,
    "regions": [],
    "techniques": [],
    "practitioner_ids": [],
    "gender": "",
    "support_person": False,
    "interpreter": False,
    "given_on": None,
    "until": None,
    "form": "",
    "language": "",
    "obtained_by": "",
    "witness": "",
    "typed_name": "",
    "reason": "",
    "occurred_at": None,
    "recorded_at": None,
}
NO_SIGNER = {
    "signer": "",
    "guardian_name": "",
    "guardian_relation": "",
    "adult_proof": "",
    "interpreter_name": "",
}
CONFIRMED = "practice policy: a typed signature is the signer's own name"
SOURCE = "practice policy: what narrows takes effect at its entry at the latest"


def serialize_consent(_role: Role, client_id: UUID, version: int) -> Any:
    """Touch consent as it stands, and every consent and withdrawal on record."""
    row, client = consent_of(client_id), client_details_row(client_id)
    shown = {**NO_CONSENT, **NO_SIGNER}
    ledger = ConsentLedger()
    if row is not None:
        shown.update({name: getattr(row, name) for name in NO_CONSENT if name != "regions"})
        shown["regions"] = row.sites
        ledger = msgspec.convert(row.ledger, ConsentLedger)
    standing = ledger.standing
    if standing is not None:
        shown.update({name: getattr(standing.obtained, name) for name in NO_SIGNER})
    today = local_day(clock.now(), client.zone)
    grants = sorted(ledger.grants, key=lambda one: one.version, reverse=True)
    narrowings = sorted(ledger.narrowings, key=lambda one: one.version, reverse=True)
    held = ledger.narrowings_of(standing) if standing else []
    judged = _Judged(ledger, client, today)
    shown |= {
        "in_force": not judged.against,
        "warnings": [*judged.of_signer, *_warnings(ledger, client)],
        "narrowed": [_scope(one.scope) for one in held],
        "grants": [_grant(ledger, one, client.zone, judged) for one in grants],
        "narrowings": [_narrowing(one) for one in narrowings],
        "version": version,
    }
    return ConsentOutputSerializer(shown).data


class _Judged:
    """The judgement of today that permissions make: why it does not stand, and what of that is
    of the signer."""

    def __init__(self, ledger: ConsentLedger, client: Client, today: date) -> None:
        signing = Signing(consent_facts(ledger), client.birth_date)
        age = ages_for({client.pk: signing}, today)[client.pk]
        self.against = list(against_standing(*signing, today, age))
        self.of_signer = list(against_signer(*signing, today, age))


def _warnings(ledger: ConsentLedger, client: Client) -> Iterator[Reason]:
    """What the desk is to ask or to see to."""
    for grant in ledger.suspended():
        text = (
            f"The consent given on {grant.given_on.isoformat()} was entered before a withdrawal"
            " that had been said earlier. Ask the client whether it stands, and confirm it."
        )
        yield Reason(code="consent.suspended", text=text, source=SOURCE)
    last = max(ledger.grants, key=lambda one: one.version, default=None)
    if last is not None and ledger.status_of(last) in (GrantStatus.ENDED, GrantStatus.REPLACED):
        text = f"The consent entered last does not count: {_why(ledger, last, client.zone)}"
        yield Reason(code="consent.not_counting", text=text, source=SOURCE)
    if ledger.grants and client.birth_date is None:
        text = "The client's birth date is not known: whether they consent alone is not known."
        yield Reason(code="consent.age_unknown", text=text, source="practice policy")
    standing = ledger.standing
    if standing is not None:
        yield from _same_day_warnings(ledger, standing, client.zone)
        for one in standing.confirmed:
            yield Reason(code=one.code, text=f"{one.text} It was confirmed.", source=CONFIRMED)
        yield from _guardian_end(standing, client)
        obtained = standing.obtained
        warning = language_warning(obtained.language, client.language, obtained.interpreter_name)
        if warning is not None:
            yield warning


def _guardian_end(standing: Grant, client: Client) -> Iterator[Reason]:
    sooner = guardianship_end_warning(standing)
    if sooner is not None:
        yield sooner
    if standing.obtained.signer is not ConsentSigner.GUARDIAN or client.birth_date is None:
        return
    ending = guardian_end_warning(standing, client.birth_date, max(consent_ages(client.pk)))
    if ending is not None:
        yield ending


def _same_day_warnings(ledger: ConsentLedger, standing: Grant, zone: str) -> Iterator[Reason]:
    """A paper without its hour is taken as signed at its entry; a withdrawal of that day may
    have come after the client signed."""
    hour_known = standing.said_at != standing.recorded_at
    if standing.obtained.form is not ConsentMethod.PAPER or hour_known:
        return
    earlier = [
        one
        for one in ledger.narrowings
        if one.version < standing.version and local_day(one.said_at, zone) == standing.given_on
    ]
    if earlier:
        text = (
            f"The paper bears the day of {_said(earlier[-1], zone)} and is taken as signed after"
            " it. Ask the client before anyone touches them; if they signed before, withdraw it."
        )
        yield Reason(code="consent.paper_of_that_day", text=text, source=SOURCE)


def _why(ledger: ConsentLedger, grant: Grant, zone: str) -> str:
    """Why a consent counts or does not, in one sentence."""
    status = ledger.status_of(grant)
    held = ledger.narrowings_of(grant)
    if status is GrantStatus.REPLACED:
        standing = ledger.standing
        given = standing.given_on.isoformat() if standing else ""
        return f"A consent given later, on {given}, stands in its place."
    if status is GrantStatus.STANDS:
        parts = "; ".join(scope_text(one.scope) for one in held)
        return f"It stands, without: {parts}." if parts else "It stands."
    full = [one for one in held if one.is_full]
    if status is GrantStatus.SUSPENDED:
        return (
            f"It was given after {_said(full[-1], zone)} and entered before that was: ask the "
            "client whether it stands."
        )
    ended = next(one for one in reversed(full) if not ledger.is_asked(grant, one))
    return f"It was given before {_said(ended, zone)}, which ended it."


def _said(one: Narrowing, zone: str) -> str:
    word = "refusal" if one.status is ConsentStatus.DECLINED else "withdrawal"
    return f"the {word} of {local_day(one.said_at, zone).isoformat()}"


def _scope(scope: NarrowedScope) -> dict[str, Any]:
    return {
        "regions": msgspec.to_builtins(scope.sites),
        "techniques": list(scope.techniques),
        "practitioner_ids": list(scope.practitioner_ids),
    }


def _grant(ledger: ConsentLedger, grant: Grant, zone: str, judged: _Judged) -> dict[str, Any]:
    why = _why(ledger, grant, zone)
    if grant == ledger.standing and judged.against:
        why = f"It was given last, and it does not stand: {judged.against[0].text}"
    return {
        "consent_id": grant.consent_id,
        "status": ledger.status_of(grant),
        "why": why,
        "can_be_confirmed": ledger.can_be_confirmed(grant),
        "given_on": grant.given_on,
        "until": grant.last_day,
        "given_at": grant.said_at,
        "recorded_at": grant.recorded_at,
        "regions": msgspec.to_builtins(grant.scope.sites),
        "techniques": list(grant.scope.techniques),
        "confirmed": [one.text for one in grant.confirmed],
    }


def _narrowing(one: Narrowing) -> dict[str, Any]:
    return {
        **_scope(one.scope),
        "status": one.status,
        "everything": one.is_full,
        "reason": one.reason,
        "said_at": one.said_at,
        "recorded_at": one.recorded_at,
    }
