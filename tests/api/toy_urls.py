"""A view of its own for the shared parts that no practice resource uses yet."""

from __future__ import annotations

from typing import Any, ClassVar

from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.fields import FlagField, WholeNumberField
from practice.http.roles import ANY_STAFF
from practice.http.serializers import StrictSerializer
from practice.http.views import ApiView, CommandResponse
from practice.policy.models import Practice


class WeeksForm(StrictSerializer):
    weeks = WholeNumberField(min_value=1, max_value=12, required=False)
    mine = FlagField(required=False)


class Toy(ApiView):
    roles = {"GET": ANY_STAFF, "POST": ANY_STAFF, "PUT": ANY_STAFF}
    query_form = WeeksForm
    answers: ClassVar[list[Any]] = []

    def get(self, request: Request) -> Response:
        return self.read_response(self.query(request), version=7)

    def post(self, request: Request) -> Any:
        def execute(uow: Any) -> CommandResponse:
            Practice.objects.update(name="written")
            return CommandResponse(self.answers[-1] if self.answers else {"done": True}, version=3)

        return self.command(request, execute, status=201, idempotency="required")

    def put(self, request: Request) -> Response:
        return self.read_response({"match": self.if_match(request, required=True)})

    def patch(self, request: Request) -> Response:
        return self.read_response({})


urlpatterns = [path("api/v1/toy", Toy.as_view())]
handler404 = "practice.http.problem_documents.not_found_view"
handler500 = "practice.http.problem_documents.server_error_view"
