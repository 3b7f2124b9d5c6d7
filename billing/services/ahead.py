"""What the ground floor is told of billing: whose record an id belongs to."""

from __future__ import annotations

from uuid import UUID

from billing.models.drawn import Authorization, Visit
from practice.services.hooks import tells_client


@tells_client("authorization_id")
def client_of_authorization(authorization_id: UUID) -> UUID | None:
    """Whose authorization it is, for the log of refusals."""
    rows = Authorization.objects.filter(pk=authorization_id)
    return rows.values_list("client_id", flat=True).first()


@tells_client("visit_id")
def client_of_visit(visit_id: UUID) -> UUID | None:
    """Whose treatment day it is, for the log of refusals."""
    return Visit.objects.filter(pk=visit_id).values_list("client_id", flat=True).first()
