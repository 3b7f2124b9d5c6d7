"""What the ground floor is told of billing: what is open in a record, whose an id is."""

from __future__ import annotations

from uuid import UUID

from billing.models.drawn import Authorization, Visit
from practice.clock import clock
from practice.domain.reasons import Reason
from practice.services.hooks import on_before_erasure, tells_client


@on_before_erasure
def open_accounts(client_id: UUID) -> list[Reason]:
    """Authorizations that still run, and treatment days that wait for a choice."""
    today = clock.now().date()
    running = Authorization.objects.filter(client_id=client_id, last_day__gte=today).count()
    waiting = Visit.objects.filter(client_id=client_id, waits_for_choice=True).count()
    found = {
        "erasure.authorizations_open": (running, f"Authorizations still run ({running})."),
        "erasure.visits_open": (waiting, f"Visits wait for a person's choice ({waiting})."),
    }
    return [
        Reason(code=code, text=text, source="practice policy")
        for code, (count, text) in found.items()
        if count
    ]


@tells_client("authorization_id")
def client_of_authorization(authorization_id: UUID) -> UUID | None:
    """Whose authorization it is, for the log of refusals."""
    rows = Authorization.objects.filter(pk=authorization_id)
    return rows.values_list("client_id", flat=True).first()


@tells_client("visit_id")
def client_of_visit(visit_id: UUID) -> UUID | None:
    """Whose treatment day it is, for the log of refusals."""
    return Visit.objects.filter(pk=visit_id).values_list("client_id", flat=True).first()
