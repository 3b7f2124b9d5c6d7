"""Searching clients, reading and changing their details."""

from __future__ import annotations

import json
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.identity.contact_serializers import PossibleDoubleOutputSerializer
from clients.identity.domain.doubles import PersonOnRecord
from clients.identity.models import Client
from clients.identity.rendering import (
    render_changed_client,
    serialize_client,
    serialize_possible_doubles,
)
from clients.identity.searching import client_search, possible_doubles
from clients.identity.selectors import no_clients
from clients.identity.serializers import (
    ChangedClientOutputSerializer,
    ClientDetailOutputSerializer,
    ClientFoundOutputSerializer,
    ClientInputSerializer,
    ClientSearchInputSerializer,
    PossibleDoublesInputSerializer,
)
from clients.identity.services import client_change
from practice.accesslog.services import log_search
from practice.http.base_views import ApiView, PagedView
from practice.http.commands import Command
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, DESK


@extend_schema_view(
    post=endpoint(
        "Search clients by name, birth date or phone",
        request=ClientSearchInputSerializer,
        response=ClientFoundOutputSerializer(many=True),
        description=(
            "All that is given must fit. Of a name any parts in any order, each from its "
            "beginning, without accents; parts that sound alike (Soundex, Metaphone) or are one "
            "typing slip away are found too and come last: `match` says `exact`, `begins`, "
            "`part` or `sound`, in this order. A birth date may be a month or a year, a phone "
            "its last four digits. Answers a page of those whom the caller sees. Sent in a "
            "body, since query strings end up in logs."
        ),
        tags=["clients"],
    )
)
class ClientSearchView(PagedView):
    """Clients by parts of a name, by birth date or by phone, best first."""

    roles = {"POST": ANY_STAFF}
    serializer_class = ClientFoundOutputSerializer
    order = ("rank", "by_family", "id")

    def known_parameters(self) -> set[str]:
        """Only those of paging."""
        return {"cursor", "page_size"}

    def get_queryset(self) -> QuerySet[Client]:
        """What was asked for in the body."""
        if getattr(self, "swagger_fake_view", False):
            return no_clients()
        asked = ClientSearchInputSerializer.checked(self.request.data)
        return client_search(self.actor(self.request), asked)

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With what was asked for and who was found logged."""
        log_search(
            staff_id=self.caller(request).pk,
            client_ids=[row.pk for row in rows],
            what="search of clients",
            asked=json.dumps(request.data, sort_keys=True, ensure_ascii=False),
            request_id=request_id_of(request),
        )
        return super().serialize_rows(request, rows)

    def post(self, request: Request) -> Response:
        return self.list_response(request)


class PossibleDoublesView(ApiView):
    """Who on record may be someone who is about to be registered."""

    roles = {"POST": DESK}

    @endpoint(
        "Look for doubles before registering",
        request=PossibleDoublesInputSerializer,
        response=PossibleDoubleOutputSerializer(many=True),
        description=(
            "Those whom the caller sees and who may be the same person: the same name, the same "
            "phone, the same birth date and a name that sounds alike or is a typing slip away, "
            "or the same name and a birth date one slip away. Registering says the same as "
            "warnings. Nothing is written; who was named is logged as read."
        ),
        tags=["clients"],
    )
    def post(self, request: Request) -> Response:
        asked = PossibleDoublesInputSerializer.checked(request.data)
        person = PersonOnRecord(
            given_name=asked.get("given_name", ""),
            family_name=asked.get("family_name", ""),
            birth_date=asked.get("birth_date"),
            phones=(asked["phone"],) if asked.get("phone") else (),
        )
        found = possible_doubles(self.actor(request), person)
        log_search(
            staff_id=self.caller(request).pk,
            client_ids=[one.client.pk for one in found],
            what="search of doubles",
            asked=json.dumps(request.data, sort_keys=True, ensure_ascii=False),
            request_id=request_id_of(request),
        )
        return Response(serialize_possible_doubles(found))


class ClientDetailView(ClientRecordView):
    """Who the client is and how they are reached."""

    roles = {"GET": ANY_STAFF}
    logged_as = "details"

    @endpoint(
        "Read a client's details",
        response=ClientDetailOutputSerializer,
        errors=(404,),
        description=(
            "Name, birth date, language, how they may be reached and by whom else, times that "
            "do not suit, and the facilities where they come; nothing of their health beyond "
            "what the desk was told as a reason. The ETag is the version of the whole record."
        ),
        tags=["clients"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_client)

    patch = Command(
        "Change a client's details",
        tag="clients",
        roles=DESK,
        input=ClientInputSerializer,
        example={"phone": "+1 415 555 0188", "contact_by": "phone"},
        partial=True,
        output=ChangedClientOutputSerializer,
        errors=(404, 409, 428),
        if_match="optional",
        execute=client_change,
        render=render_changed_client,
        description=(
            "Fields that are left out stay, and so do facilities that the caller does not "
            "see. The history keeps what stood before. With `If-Match` a change of a record "
            "that has moved on is refused. What stands in a list (phones, "
            "emergency contacts, unsuitable times, other ways of contact, facilities, clients told "
            "apart) is left out only with it (428): another device may have added it. `sessions` "
            "says what became of those that are booked, as another birth date or guardian does."
        ),
    )
