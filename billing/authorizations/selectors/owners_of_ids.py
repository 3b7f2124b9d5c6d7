"""What the ground floor is told of billing: whose record an id belongs to."""

from __future__ import annotations

from uuid import UUID

from billing.authorizations.models import Authorization, Visit
from practice.accesslog.owners import owner_of_id


@owner_of_id("authorization_id")
def client_of_authorization(authorization_id: UUID) -> UUID | None:
    """Whose authorization it is, for the log of refusals."""
    rows = Authorization.objects.filter(pk=authorization_id)
    return rows.values_list("client_id", flat=True).first()


@owner_of_id("visit_id")
def client_of_visit(visit_id: UUID) -> UUID | None:
    """Whose treatment day it is, for the log of refusals."""
    return Visit.objects.filter(pk=visit_id).values_list("client_id", flat=True).first()
