"""Who pays for themself, as the read table has it."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import BooleanField, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from billing.self_pay.models import SelfPayStatement


def self_pay_list(client_id: UUID) -> QuerySet[SelfPayStatement]:
    """What was stated of a client, the latest day first."""
    return SelfPayStatement.objects.filter(client_id=client_id).order_by("-starts_on")


def pays_for_themself(client_id: UUID, day: date) -> bool:
    """Whether a client pays for themself on a day."""
    found = self_pay_list(client_id).filter(starts_on__lte=day).first()
    return found is not None and found.self_paying


def self_paying_on(day: str) -> Any:
    """For a query on rows of clients: whether the client pays for themself on the row's ``day``."""
    earlier = SelfPayStatement.objects.filter(
        client_id=OuterRef("client_id"), starts_on__lte=OuterRef(day)
    ).order_by("-starts_on")
    never_said = Value(value=False)
    return Coalesce(
        Subquery(earlier.values("self_paying")[:1]), never_said, output_field=BooleanField()
    )
