"""Emergency contacts and unsuitable times: added, changed and taken away one by one."""

from __future__ import annotations

from typing import Any

from rest_framework.request import Request

from clients.identity.client_views import ClientRecordView, record_renderer
from clients.identity.contact_serializers import (
    EmergencyContactInputSerializer,
    UnsuitableTimeInputSerializer,
)
from clients.identity.contact_services import EMERGENCY_CONTACTS, UNSUITABLE_TIMES
from clients.identity.rendering import serialize_client
from clients.identity.serializers import ClientDetailOutputSerializer
from practice.http.commands import Command
from practice.http.roles import DESK

_SHOWS = "Answers with the client's details, each entry with its id."


class EmergencyContactListView(ClientRecordView):
    """Those whom to call in an emergency."""

    post = Command(
        "Add an emergency contact",
        tag="clients",
        roles=DESK,
        input=EmergencyContactInputSerializer,
        output=ClientDetailOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=EMERGENCY_CONTACTS.add,
        render=record_renderer(serialize_client),
        description="The others stay, whoever added them meanwhile; it is called after them. 409 "
        f"for one that stands there already, and beyond five. {_SHOWS}",
    )


class EmergencyContactDetailView(ClientRecordView):
    """One of them."""

    def arguments(self, request: Request, **ids: Any) -> dict[str, Any]:
        return {"client_id": ids["client_id"], "entry_id": ids["emergency_contact_id"]}

    patch = Command(
        "Change an emergency contact",
        tag="clients",
        roles=DESK,
        input=EmergencyContactInputSerializer,
        example={"phone": "+1 415 555 0177"},
        partial=True,
        output=ClientDetailOutputSerializer,
        errors=(404,),
        if_match="optional",
        execute=EMERGENCY_CONTACTS.change,
        render=record_renderer(serialize_client),
        description=f"Fields that are left out stay, and so do the others. {_SHOWS}",
    )
    delete = Command(
        "Take an emergency contact away",
        tag="clients",
        roles=DESK,
        output=ClientDetailOutputSerializer,
        errors=(404,),
        if_match="optional",
        execute=EMERGENCY_CONTACTS.remove,
        render=record_renderer(serialize_client),
        description=f"The history keeps who it was, and the others stay in their order. {_SHOWS}",
    )


class UnsuitableTimeListView(ClientRecordView):
    """Times that do not suit the client."""

    post = Command(
        "Add a time that does not suit",
        tag="clients",
        roles=DESK,
        input=UnsuitableTimeInputSerializer,
        output=ClientDetailOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=UNSUITABLE_TIMES.add,
        render=record_renderer(serialize_client),
        description="The others stay, whoever added them meanwhile. Open times leave it out, "
        f"bookings in it are warned of. 409 for one that stands there already. {_SHOWS}",
    )


class UnsuitableTimeDetailView(ClientRecordView):
    """One of them."""

    def arguments(self, request: Request, **ids: Any) -> dict[str, Any]:
        return {"client_id": ids["client_id"], "entry_id": ids["unsuitable_time_id"]}

    patch = Command(
        "Change a time that does not suit",
        tag="clients",
        roles=DESK,
        input=UnsuitableTimeInputSerializer,
        example={"until": "2026-12-31"},
        partial=True,
        output=ClientDetailOutputSerializer,
        errors=(404,),
        if_match="optional",
        execute=UNSUITABLE_TIMES.change,
        render=record_renderer(serialize_client),
        description=f"Fields that are left out stay, and so do the others. {_SHOWS}",
    )
    delete = Command(
        "Take a time that does not suit away",
        tag="clients",
        roles=DESK,
        output=ClientDetailOutputSerializer,
        errors=(404,),
        if_match="optional",
        execute=UNSUITABLE_TIMES.remove,
        render=record_renderer(serialize_client),
        description=f"From now on open times offer it again and no booking in it is warned of; the"
        f" history keeps it, the others stay. {_SHOWS}",
    )
