"""Texts from numbers that fit no client: seen, assigned, discarded."""

from __future__ import annotations

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view

from clients.reminders.filters import UnknownReplyFilter
from clients.reminders.models import UnknownReply
from clients.reminders.notice_serializers import (
    ReplySettlementInputSerializer,
    UnknownReplyOutputSerializer,
)
from clients.reminders.selectors import unknown_replies
from clients.reminders.services.unknown_replies import reply_settle
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import DESK
from practice.work.unit_of_work import UnitOfWork


def render_reply(_uow: UnitOfWork, row: UnknownReply) -> Representation:
    """The reply as it stands."""
    return Representation(UnknownReplyOutputSerializer(row).data)


@extend_schema_view(
    get=endpoint(
        "List replies that fit no client",
        response=UnknownReplyOutputSerializer(many=True),
        description="Texts that came from a number of no client, the latest first; `settled=open`:"
        " those that somebody has to see to.",
        tags=["reminders"],
    )
)
class UnknownReplyListView(ListView):
    """What came from numbers of nobody."""

    roles = {"GET": DESK}
    serializer_class = UnknownReplyOutputSerializer
    filterset_class = UnknownReplyFilter
    order = ("-at", "id")

    def get_queryset(self) -> QuerySet[UnknownReply]:
        return unknown_replies()


class ReplySettlementView(CommandView):
    """It is a client's, or nobody's."""

    post = Command(
        "Assign a reply to a client, or discard it",
        tag="reminders",
        roles=DESK,
        input=ReplySettlementInputSerializer,
        output=UnknownReplyOutputSerializer,
        errors=(404, 409),
        execute=reply_settle,
        render=render_reply,
        description="Assigned, it stands with what came back from the client, as if it had come"
        " from their number: STOP ends their texts until they want them again. Discarded with a"
        " reason, a STOP holds for the number all the same; settled, it may be assigned to one more"
        " client who has the number. One that was discarded by slip is assigned with the reason of"
        " the correction beside the client; who had discarded it and why stays. 409"
        " `already_settled`.",
    )
