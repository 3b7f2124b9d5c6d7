"""Hours planned and done; helps for cardio and strength."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.api.clientview import ClientView
from practice.api.describe import described
from practice.api.roles import CLINICAL
from practice.api.serializers import build
from sessions.api.forms.shared import shown_reasons
from sessions.api.forms.training import HoursForm, LoadAnswer, LoadAsked, ZonesAsked, ZonesForm
from sessions.domain.hour.strength import Set
from sessions.selectors.training import hours_done, load_for, zones_for


@extend_schema_view(
    get=described(
        "See the hours planned against the hours done",
        gives=HoursForm,
        refuses=(404,),
        tags=["sessions"],
    )
)
class Hours(ClientView):
    """Planned against done, over time."""

    roles = {"GET": CLINICAL}

    def get(self, request: Request, client_id: UUID) -> Response:
        """Every signed session and the weeks they make up."""
        self.opened(request, client_id, "hours")
        sessions, weeks = hours_done(client_id)
        return Response(HoursForm({"sessions": sessions, "weeks": weeks}).data)


@extend_schema_view(
    get=described(
        "Suggest cardio zones",
        gives=ZonesForm,
        query=ZonesAsked,
        refuses=(404,),
        description="By heart-rate reserve; by exertion under a beta-blocker. A help, no order.",
        tags=["sessions"],
    )
)
class CardioZones(ClientView):
    """The client's cardio zones."""

    roles = {"GET": CLINICAL}
    query_form = ZonesAsked

    def get(self, request: Request, client_id: UUID) -> Response:
        """The zones by her age."""
        given = self.query(request)
        role = self.opened(request, client_id, "cardio zones").role
        rest, blocker = given.get("resting_heart_rate"), given.get("beta_blocker", False)
        found = zones_for(client_id, rest, beta_blocker=blocker)
        shown: dict[str, Any] = msgspec.structs.asdict(found)
        shown["reasons"] = shown_reasons(role, found.reasons)
        return Response(ZonesForm(shown).data)


@extend_schema_view(
    post=described(
        "Suggest a load from recent sets",
        takes=LoadAsked,
        gives=LoadAnswer,
        refuses=(404,),
        description="Nothing is recorded. Lower and slower for a limb with swelling.",
        tags=["sessions"],
    )
)
class Load(ClientView):
    """A suggested load."""

    roles = {"POST": CLINICAL}

    def post(self, request: Request, client_id: UUID) -> Response:
        """The suggestion, or null."""
        self.opened(request, client_id, "load suggestion")
        given = LoadAsked.checked(request.data)
        sets = [build(Set, one) for one in given["sets"]]
        return Response(LoadAnswer({"suggestion": load_for(client_id, given["limb"], sets)}).data)
