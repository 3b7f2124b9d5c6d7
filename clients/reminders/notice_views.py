"""What came back from clients: addresses that failed, wishes to stop, replies."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView
from clients.reminders.models import ContactNotice
from clients.reminders.notice_serializers import (
    ContactNoticeLiftedOutputSerializer,
    ContactNoticeLiftInputSerializer,
    ContactNoticeOutputSerializer,
    MessageStopInputSerializer,
)
from clients.reminders.sealing import fetch_keys
from clients.reminders.selectors import contact_notices
from clients.reminders.services.stops import messages_stop, notice_lift
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import CARE
from practice.work.unit_of_work import UnitOfWork


def render_notice(_uow: UnitOfWork, row: ContactNotice) -> Representation:
    """The notice as it stands."""
    return Representation(ContactNoticeOutputSerializer(row).data)


def render_lifted(_uow: UnitOfWork, row: ContactNotice) -> Representation:
    """The same, with the reminders that its address had refused."""
    if not hasattr(row, "sent_again"):
        row.sent_again = []  # type: ignore[attr-defined]  # lifted before
    return Representation(ContactNoticeLiftedOutputSerializer(row).data)


@extend_schema_view(
    get=endpoint(
        "List what came back from a client",
        response=ContactNoticeOutputSerializer(many=True),
        errors=(404,),
        description="Addresses and numbers that failed, wishes to get no more messages, replies;"
        " with who lifted which and why. The latest first.",
        tags=["reminders"],
    )
)
class ContactNoticeListView(ClientRecordListView):
    """Of one client."""

    roles = {"GET": CARE}
    logged_as = "contact notices"
    order = ("-at", "id")

    def get_queryset(self) -> QuerySet[ContactNotice]:
        return contact_notices([one for one in [self.kwargs.get("client_id")] if one])

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With what each says."""
        fetch_keys(rows)
        return ContactNoticeOutputSerializer(rows, many=True).data

    post = Command(
        "Record that a client wants no more messages",
        tag="reminders",
        roles=CARE,
        input=MessageStopInputSerializer,
        output=ContactNoticeOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=messages_stop,
        render=render_notice,
        description="They said it on the phone, in person or in writing. It ends the channels for"
        " every kind of reminder from now on, as the link in a mail and a reply of STOP do; the"
        " answer is the notice of the first. Said again in other words it is kept once more. What"
        " they do allow stays. They get messages again only at their own word: lift the notice.",
    )


class ContactNoticeLiftingView(CommandView):
    """It holds no more."""

    post = Command(
        "Lift a failed address, or a wish for no more messages",
        tag="reminders",
        roles=CARE,
        input=ContactNoticeLiftInputSerializer,
        output=ContactNoticeLiftedOutputSerializer,
        errors=(404, 409),
        execute=notice_lift,
        render=render_lifted,
        description="A failed address: it works again, and reminders go there from now on; those"
        " that it had refused are decided again and sent once, or `sent_again` says why not. A wish"
        " to stop: only where the client says that they want messages again; their channel is"
        " allowed again. Who lifted it, when and why stays: 409 `already_lifted` for another reason"
        " afterwards, and for a reply.",
    )
