"""A refusal on any id in an address is kept with the client whose record it belongs to."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from practice.accesslog.models import AccessEntry
from practice.core.appspec import installed
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Role
from practice.http.problems import exception_handler
from practice.startup.django_gaps import ids_in_addresses
from practice.startup.install import load_specs
from tests.builders import Built

PRACTICE_IDS = {name for spec in load_specs(settings.APP_SPECS) for name in spec.practice_ids}
VALUES: dict[str, Any] = {
    "BinaryField": bytes,
    "UUIDField": uuid4,
    "DateTimeField": lambda: datetime(2026, 5, 4, 15, tzinfo=UTC),
    "DateField": lambda: date(2026, 5, 4),
    "JSONField": dict,
    "CharField": str,
    "TextField": str,
    "BooleanField": bool,
}


def handled(problem: Rejected, staff: Any, address: dict[str, UUID]) -> None:
    """The problem as a view below an address would raise it."""
    request = Request(APIRequestFactory().get("/x"))
    request.user = staff
    exception_handler(problem, {"request": request, "kwargs": address})


def row_of(label: str, client_id: UUID) -> UUID:
    """A row of a read table that belongs to a client; its other columns are nothing much."""
    model = apps.get_model(label)
    values = {
        field.attname: VALUES.get(field.get_internal_type(), int)()
        for field in model._meta.concrete_fields
        if not field.null and not field.has_default()
    }
    if any(field.attname == "version" for field in model._meta.concrete_fields):
        values["version"] = 1
    row = model(**{**values, "id": uuid4(), "client_id": client_id})
    models.Model.save(row, force_insert=True)
    return row.pk


@pytest.mark.parametrize("status", [404, 409])
@pytest.mark.parametrize("name", sorted(ids_in_addresses() - {"client_id"}))
def test_every_id_in_an_address_is_a_clients_or_the_practices_own(
    built: Built, name: str, status: int
) -> None:
    client = uuid4()
    label = installed.owners_of_ids.get(name)
    value = row_of(label, client) if label else uuid4()
    reasons = (Reason(code="made.up", text="No.", source="tests"),)
    problem = Rejected("made_up", "No.", status=status, reasons=reasons)
    desk = built.staff[Role.FRONT_DESK]
    handled(problem, desk, {name: value})
    (kept,) = AccessEntry.objects.values_list("client_id", flat=True)
    assert (kept, name in PRACTICE_IDS) == ((client, False) if label else (None, True))
    handled(problem, desk, {name: uuid4()})
    assert AccessEntry.objects.order_by("-id")[0].client_id is None
