"""The waiting list: who waits, whom a free time suits, offers and their answers."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.identity.display_names import with_display_names
from practice.clock import clock
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from sessions.booking.rendering import render_session
from sessions.booking.serializers.freed import serialize_fit
from sessions.booking.serializers.sessions import SessionOutputSerializer
from sessions.waiting_list.filters import WaitingFilter
from sessions.waiting_list.models import WaitingEntry
from sessions.waiting_list.rendering import render_offered, render_waiting, serialize_waiting
from sessions.waiting_list.selectors import free_time, waiting_get, waiting_list, who_waits
from sessions.waiting_list.serializers import (
    WaitingAddInputSerializer,
    WaitingDeclineInputSerializer,
    WaitingFitListOutputSerializer,
    WaitingFitsQueryInputSerializer,
    WaitingOfferedOutputSerializer,
    WaitingOfferInputSerializer,
    WaitingOutputSerializer,
    WaitingWithdrawInputSerializer,
)
from sessions.waiting_list.services import (
    waiting_accept,
    waiting_add,
    waiting_decline,
    waiting_offer,
    waiting_withdraw,
)


class ClientWaitingView(ClientRecordView):
    """A client who waits for a time."""

    post = Command(
        "Put a client on the waiting list",
        tag="sessions",
        roles=CARE,
        input=WaitingAddInputSerializer,
        output=WaitingOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=waiting_add,
        render=render_waiting,
        description="What suits: places, weekdays, a span of the clock, days, length and purpose, "
        "or the practice's kind of session (`kind_id`), from which these two follow. With whom "
        "the client works is their provider preference.",
    )


@extend_schema_view(
    get=endpoint(
        "List who waits for a time",
        response=WaitingOutputSerializer(many=True),
        description="Longest waiting first, with phone and offers; narrowed by client, status, "
        "purpose or kind. Every client on the page counts as read.",
        tags=["sessions"],
    )
)
class WaitingListView(ListView):
    """Who waits, of the clients that I see."""

    roles = {"GET": CARE}
    filterset_class = WaitingFilter
    order = ("asked_at", "id")

    def get_queryset(self) -> QuerySet[WaitingEntry]:
        """Those whom I see."""
        return waiting_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "waiting list")
        return [serialize_waiting(row) for row in with_display_names(rows)]


class WaitingDetailView(ApiView):
    """One entry as it stands."""

    roles = {"GET": CARE}

    @endpoint(
        "Read an entry of the waiting list",
        response=WaitingOutputSerializer,
        errors=(404,),
        description="What suits the client, and what they were offered: when, by whom, and what "
        "became of it.",
        tags=["sessions"],
    )
    def get(self, request: Request, waiting_id: UUID) -> Response:
        row = waiting_get(self.actor(request), waiting_id)
        self.log_read(request, row.client_id, "waiting list")
        return self.read_response(serialize_waiting(row))


class WaitingFitsView(ApiView):
    """Whom a free time suits."""

    roles = {"GET": CARE}
    query_form = WaitingFitsQueryInputSerializer

    @endpoint(
        "Find who waits for a free time",
        response=WaitingFitListOutputSerializer,
        query=WaitingFitsQueryInputSerializer,
        errors=(404,),
        description="The time of a session that was called off (`free_session_id`), a place in a "
        "class (`class_id`), or one by practitioner, facility, start and length. Longest "
        "waiting first; only whom it suits and whom booking would take there: by consent, "
        "preference, law and other sessions.",
        tags=["sessions"],
    )
    def get(self, request: Request) -> Response:
        """Who may have it."""
        given, actor = self.query(request), self.actor(request)
        found = who_waits(actor, free_time(actor, given), clock.now())
        self.log_reads(request, (one.client_id for one in found.fits), "waiting list")
        results = [serialize_fit(actor.role, one) for one in found.fits]
        return Response(
            WaitingFitListOutputSerializer({"results": results, "more": found.more}).data
        )


class WaitingOfferView(CommandView):
    """A time that is offered."""

    post = Command(
        "Offer a free time to a client who waits",
        tag="sessions",
        roles=CARE,
        input=WaitingOfferInputSerializer,
        output=WaitingOfferedOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=waiting_offer,
        render=render_offered,
        description="Refused as booking it would be, with its reasons. Nothing holds the time: "
        "whoever accepts first has it. An offer that is open is replaced, and both are kept. A "
        "closed time is offered with `overrule` alone, and booked so. `warnings` say what booking "
        "it would, and where it is not what the client waits for.",
    )


class WaitingAcceptanceView(CommandView):
    """The client takes the time."""

    post = Command(
        "Accept the offer: book it",
        tag="sessions",
        roles=CARE,
        output=SessionOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=waiting_accept,
        render=render_session,
        description="Books the offered time as any session is booked; 409 with its reasons where "
        "it cannot be any more, `no_open_offer` where none waits for an answer, "
        "`class_moved_since` where the class of an offered place was moved.",
    )


class WaitingDeclineView(CommandView):
    """The client does not take the time."""

    post = Command(
        "Decline the offer",
        tag="sessions",
        roles=CARE,
        input=WaitingDeclineInputSerializer,
        output=WaitingOutputSerializer,
        errors=(404, 409),
        execute=waiting_decline,
        render=render_waiting,
        description="The client stays on the list, with the time since when they wait; who entered "
        "the answer, when and why is kept. 409 `no_open_offer` where nothing was offered.",
    )


class WaitingWithdrawalView(CommandView):
    """The client waits no more."""

    post = Command(
        "Take a client off the waiting list",
        tag="sessions",
        roles=CARE,
        input=WaitingWithdrawInputSerializer,
        output=WaitingOutputSerializer,
        errors=(404, 409),
        execute=waiting_withdraw,
        render=render_waiting,
        description="With why; an open offer ends with it. The entry is kept.",
    )
