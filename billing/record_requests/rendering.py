"""What a client is given, as data and as a page to print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string
from django.urls import reverse

from billing.record_requests.selectors import RecordCopy, record_sentences
from billing.record_requests.serializers import (
    RecordCopyOutputSerializer,
    RecordRequestReferenceOutputSerializer,
)
from billing.summaries.domain.events import RecordDisclosed
from billing.summaries.models import Disclosure
from clients.identity.selectors import client_details_row
from practice.core.localtime import zone_named
from practice.http.representations import Representation
from practice.policy.selectors import practice_get
from practice.work.unit_of_work import Outcome, UnitOfWork


def render_reference(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """A reference, for its answer is kept (ruling 18)."""
    row = Disclosure.objects.get(pk=outcome.first(RecordDisclosed).disclosure_id)
    path = {"client_id": row.client_id, "record_request_id": row.pk}
    shown = {
        "id": row.pk,
        "made_at": row.disclosed_at,
        "recipient": row.recipient,
        "sha256": row.sha256["json"],
        "record": reverse("record-request", kwargs=path),
        "printout": reverse("record-request-printout", kwargs=path),
    }
    return Representation(RecordRequestReferenceOutputSerializer(shown).data)


def serialize_copy(copy: RecordCopy) -> Any:
    """What was given as data."""
    return RecordCopyOutputSerializer(
        {
            "id": copy.disclosure.pk,
            "made_at": copy.disclosure.disclosed_at,
            "recipient": copy.disclosure.recipient,
            "as_given": copy.as_given,
            "record": copy.record,
        }
    ).data


def render_page(copy: RecordCopy) -> str:
    """The page: each event in a sentence on the client's own clock, then all that is on record."""
    client = client_details_row(copy.disclosure.client_id)
    zone = zone_named(client.zone)
    events = [
        {
            "text": one["text"],
            "day": f"{one['occurred_at'].astimezone(zone):%Y-%m-%d}",
            "by": one["recorded_by"]["name"],
        }
        for one in record_sentences(copy)
    ]
    return render_to_string(
        "billing/record_copy.html",
        {
            "client": client,
            "events": events,
            "lines": list(_lines(copy.record)),
            "made_at": f"{copy.disclosure.disclosed_at.astimezone(zone):%Y-%m-%d %H:%M}",
            "recipient": copy.disclosure.recipient,
            "practice": practice_get(),
        },
    )


def _lines(value: Any, path: tuple[str, ...] = ()) -> Any:
    """What is on record as lines of (where, what), e.g. ("details: phone", "+1215…")."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _lines(inner, (*path, str(name).replace("_", " ")))
    elif isinstance(value, list | tuple):
        for number, inner in enumerate(value, 1):
            yield from _lines(inner, (*path, str(number)))
    elif value not in (None, ""):
        yield ": ".join(path), value
