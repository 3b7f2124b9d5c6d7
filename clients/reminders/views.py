"""Reminders: what was told to whom, what clients would read, and the way to end it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.identity.display_names import with_display_names
from clients.reminders.filters import ReminderFilter
from clients.reminders.models import Reminder
from clients.reminders.previews import wordings_for
from clients.reminders.sealing import fetch_keys
from clients.reminders.selectors import reminder_list
from clients.reminders.serializers import (
    ReminderOutputSerializer,
    WordingsOutputSerializer,
    WordingsQuerySerializer,
)
from clients.reminders.services.listed import reminder_done
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import CARE
from practice.work.unit_of_work import UnitOfWork


def render_reminder(_uow: UnitOfWork, row: Reminder) -> Representation:
    """The reminder as it stands."""
    return Representation(ReminderOutputSerializer(with_display_names([row])[0]).data)


@extend_schema_view(
    get=endpoint(
        "List reminders",
        response=ReminderOutputSerializer(many=True),
        description="The latest first. The owner sees all, a practitioner what is for them, the"
        " desk what is for it and what went to the clients whom it sees. Which kinds there are,"
        " for whom, how long before and with which template stands in the settings"
        " `remind_<kind>`.",
        tags=["reminders"],
    )
)
class ReminderListView(ListView):
    """What was told, and what is to be told."""

    roles = {"GET": CARE}
    filterset_class = ReminderFilter
    serializer_class = ReminderOutputSerializer
    order = ("-made_at", "id")

    def get_queryset(self) -> QuerySet[Reminder]:
        return reminder_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """Everyone on the page is read."""
        clients = (row.client_id for row in rows if row.client_id is not None)
        self.log_reads(request, clients, "reminders")
        fetch_keys(rows)
        return ReminderOutputSerializer(with_display_names(rows), many=True).data


class ReminderDoneView(CommandView):
    """A person has told it."""

    post = Command(
        "Take a reminder off the list",
        tag="reminders",
        roles=CARE,
        output=ReminderOutputSerializer,
        errors=(404, 409),
        execute=reminder_done,
        render=render_reminder,
        description="It was told, or seen to. 409 for one that goes by mail or text.",
    )


class ReminderWordingsView(ClientRecordView):
    """What a client would read."""

    roles = {"GET": CARE}
    logged_as = "wordings of reminders"
    query_form = WordingsQuerySerializer

    @endpoint(
        "Read what a client may be written",
        response=WordingsOutputSerializer,
        query=WordingsQuerySerializer,
        errors=(404,),
        description="Every template in the client's language, with example values: as mail, as"
        " text, and what is said to a machine. The words come from the translations of the program"
        " (English and Spanish); the practice adds wordings and languages of its own as a folder of"
        " translations (`PRACTICE_LOCALE`: `<language>/LC_MESSAGES/django.mo`, made by `msgfmt`),"
        " which come first. What of them does not fit stands in `passed_over`.",
        tags=["reminders"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        self.log_read(request, client_id, self.logged_as)
        found = wordings_for(client_id, self.actor(request).id, **self.query(request))
        return self.read_response(WordingsOutputSerializer(found).data)
