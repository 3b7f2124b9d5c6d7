"""Safety incidents: those of a client, and the owner's list."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordListView, ClientRecordView
from practice.http.base_views import ListView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE, CLINICAL
from sessions.incidents import serializers as forms
from sessions.incidents import services
from sessions.incidents.filters import IncidentFilter
from sessions.incidents.models import Incident
from sessions.incidents.rendering import (
    render_closed_incident,
    render_incident,
    serialize_incidents,
)
from sessions.incidents.selectors import incident_list, incidents_of
from sessions.incidents.serializers import ClosedIncidentOutputSerializer, IncidentOutputSerializer

TAG = "incidents"


@extend_schema_view(
    get=endpoint(
        "List safety incidents",
        response=IncidentOutputSerializer(many=True),
        description="The latest first, in pages: what happened, who was told, follow-up, and for"
        " how many days an open one has waited. They stand in no note and in no export;"
        " those entered in error are shown where `status` asks for them."
        " Every client on the page counts as read.",
        tags=[TAG],
    )
)
class IncidentOverviewView(ListView):
    """Incidents of the clients that I see."""

    roles = {"GET": CLINICAL}
    filterset_class = IncidentFilter
    order = ("-happened_at", "id")

    def get_queryset(self) -> QuerySet[Incident]:
        """Those of clients whom I see."""
        return incident_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "incidents")
        return serialize_incidents(self.actor(request).role, rows)


@extend_schema_view(
    get=endpoint(
        "List the client's safety incidents",
        response=IncidentOutputSerializer(many=True),
        errors=(404,),
        description="The latest first, closed ones and those entered in error too.",
        tags=[TAG],
    )
)
class ClientIncidentListView(ClientRecordListView):
    """The incidents of one client."""

    roles = {"GET": CLINICAL}
    logged_as = "incidents"
    order = ("-happened_at", "id")

    def get_queryset(self) -> QuerySet[Incident]:
        return incidents_of([one for one in [self.kwargs.get("client_id")] if one])

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names."""
        return serialize_incidents(self.actor(request).role, rows)

    post = Command(
        "Report a safety incident",
        tag=TAG,
        roles=CARE,
        input=forms.IncidentInputSerializer,
        output=IncidentOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.incident_report,
        render=render_incident,
        description="What happened, and who was told already. Where and with whom are the"
        " session's, if one is named. The note of the session does not name it. The front desk may"
        " report it, and is not shown what happened.",
    )


class IncidentToldView(ClientRecordView):
    """Somebody was told."""

    post = Command(
        "Record who was told of an incident",
        tag=TAG,
        roles=CARE,
        input=forms.IncidentToldInputSerializer,
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_tell,
        render=render_incident,
        description="One person for each request; also after the closing. 409 for an incident that"
        " was entered in error.",
    )


class IncidentFollowUpView(ClientRecordView):
    """How the client is since."""

    post = Command(
        "Follow up an incident",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentFollowUpInputSerializer,
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_follow_up,
        render=render_incident,
        description="Each is kept. `call_on` puts the client on the call list for that day, without"
        " a word of what happened; without it nobody calls. 409 for one that is closed.",
    )


class IncidentClosingView(ClientRecordView):
    """The follow-up ends."""

    post = Command(
        "Close an incident",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentClosingInputSerializer,
        output=ClosedIncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_close,
        render=render_closed_incident,
        description="By the owner, or a practitioner who was not there and did not report it"
        " (403 `own_incident`). 409 `nobody_told` while nobody is on record as told."
        " A follow-up call that was asked for leaves the call list: `warnings` name it"
        " (`call_no_longer_due`).",
    )


class IncidentReopeningView(ClientRecordView):
    """It is followed up again."""

    post = Command(
        "Open a closed incident again",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentReasonInputSerializer,
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_reopen,
        render=render_incident,
        description="With the reason; it is among the open ones and may be followed up, and the"
        " closing before stays on record. 409 for one that is not closed.",
    )


class IncidentCorrectionView(ClientRecordView):
    """What was reported is put right."""

    post = Command(
        "Correct what was reported",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentCorrectionInputSerializer,
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_correct,
        render=render_incident,
        description="What is left out stays; another session brings its place and practitioner."
        " The record keeps what stood before, with the reason. 409 where nothing differs.",
    )


class IncidentInErrorView(ClientRecordView):
    """There was no such incident."""

    post = Command(
        "Enter an incident in error",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentReasonInputSerializer,
        example={"reason": "it was another client"},
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_enter_in_error,
        render=render_incident,
        description="With the reason. It leaves the open ones and the call list, and stays on"
        " record.",
    )


class IncidentStepInErrorView(ClientRecordView):
    """A step did not happen so."""

    post = Command(
        "Take back what was recorded of an incident",
        tag=TAG,
        roles=CLINICAL,
        input=forms.IncidentStepInErrorInputSerializer,
        output=IncidentOutputSerializer,
        errors=(404, 409),
        execute=services.incident_step_take_back,
        render=render_incident,
        description="Somebody told, a follow-up, a closing: by the id of its step and with the"
        " reason. It stays visible and counts no more; without its closing the incident is open"
        " again.",
    )
