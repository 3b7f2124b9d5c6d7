"""Calls as shown, with the names of who called."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from clients.calls.domain.events import ClientCalled
from clients.calls.models import Call
from clients.calls.serializers import CallOutputSerializer
from practice.http.representations import Representation
from practice.people_and_places.models.staff import Staff
from practice.work.unit_of_work import Outcome, UnitOfWork

T = TypeVar("T")


def with_callers(rows: Sequence[T]) -> Sequence[T]:
    """The rows with ``called_by_name``; one query."""
    wanted = {getattr(row, "called_by") for row in rows}  # noqa: B009  of calls and of topics
    names = dict(Staff.objects.filter(pk__in=wanted).values_list("pk", "name")) if rows else {}
    for row in rows:
        found: Any = row
        found.called_by_name = names.get(found.called_by, "")
    return rows


def render_call(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """The call that was recorded."""
    event = outcome.first(ClientCalled)
    (row,) = with_callers([Call.objects.get(pk=event.call_id)]) if event else (None,)
    return Representation(CallOutputSerializer(row).data)
