"""Hours planned and done; helps for cardio and strength."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import msgspec
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from practice.http.openapi import endpoint
from practice.http.reasons import shown_reasons
from practice.http.roles import CLINICAL
from practice.http.serializers import build_command
from sessions.session_split.domain.strength import StrengthSet
from sessions.session_split.selectors.training import load_for, training_history, zones_for
from sessions.session_split.serializers.training import (
    CardioZonesOutputSerializer,
    CardioZonesQueryInputSerializer,
    LoadSuggestionInputSerializer,
    LoadSuggestionResultOutputSerializer,
    TrainingHistoryOutputSerializer,
)


class TrainingHistoryView(ClientRecordView):
    """Planned against done, over time."""

    roles = {"GET": CLINICAL}

    @endpoint(
        "See the hours planned against the hours done",
        response=TrainingHistoryOutputSerializer,
        errors=(404,),
        description=(
            "Minutes by part for every signed session, beside what was planned, and for "
            "each week what was reached of the guidelines on cardio and strength."
        ),
        tags=["sessions"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """Every signed session and the weeks they make up."""
        self.log_read(request, client_id, "hours")
        sessions, weeks = training_history(client_id)
        return Response(
            TrainingHistoryOutputSerializer({"sessions": sessions, "weeks": weeks}).data
        )


class CardioZonesView(ClientRecordView):
    """The client's cardio zones."""

    roles = {"GET": CLINICAL}
    query_form = CardioZonesQueryInputSerializer

    @endpoint(
        "Suggest cardio zones",
        response=CardioZonesOutputSerializer,
        query=CardioZonesQueryInputSerializer,
        errors=(404,),
        description="By heart-rate reserve; by exertion under a beta-blocker. A help, no order.",
        tags=["sessions"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """The zones by the client's age."""
        given = self.query(request)
        role = self.role(request)
        self.log_read(request, client_id, "cardio zones")
        rest, blocker = given.get("resting_heart_rate"), given.get("beta_blocker", False)
        found = zones_for(client_id, rest, beta_blocker=blocker)
        shown: dict[str, Any] = msgspec.structs.asdict(found)
        shown["reasons"] = shown_reasons(role, found.reasons)
        return Response(CardioZonesOutputSerializer(shown).data)


class LoadSuggestionView(ClientRecordView):
    """The load suggested from a recent set."""

    roles = {"POST": CLINICAL}

    @endpoint(
        "Suggest a load from recent sets",
        request=LoadSuggestionInputSerializer,
        response=LoadSuggestionResultOutputSerializer,
        errors=(404,),
        description="Nothing is recorded. None for a limb that may carry no load today, by the "
        "criteria of the split; lower and slower for a limb with swelling.",
        tags=["sessions"],
    )
    def post(self, request: Request, client_id: UUID) -> Response:
        """The suggestion, or null with the reasons."""
        self.log_read(request, client_id, "load suggestion")
        role = self.role(request)
        given = LoadSuggestionInputSerializer.checked(request.data)
        sets = [build_command(StrengthSet, one) for one in given["sets"]]
        found = load_for(client_id, given["limb"], sets, sedentary=given.get("sedentary"))
        return Response(
            LoadSuggestionResultOutputSerializer(
                {
                    "suggestion": found.suggestion,
                    "open": found.criteria.open,
                    "reasons": shown_reasons(role, found.criteria.reasons),
                    "cautions": shown_reasons(role, found.criteria.cautions),
                }
            ).data
        )
