"""A view of its own for the shared parts that no practice resource uses yet."""

from __future__ import annotations

from typing import Any, ClassVar

from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.fields import FlagField, WholeField
from practice.api.roles import ANY_STAFF
from practice.api.serializers import Strict
from practice.api.views import Answer, ApiView
from practice.models import Practice


class WeeksForm(Strict):
    weeks = WholeField(min_value=1, max_value=12, required=False)
    mine = FlagField(required=False)


class Toy(ApiView):
    roles = {"GET": ANY_STAFF, "POST": ANY_STAFF, "PUT": ANY_STAFF}
    query_form = WeeksForm
    answers: ClassVar[list[Any]] = []

    def get(self, request: Request) -> Response:
        return self.shown(self.query(request), version=7)

    def post(self, request: Request) -> Any:
        def act(work: Any) -> Answer:
            Practice.objects.update(name="written")
            return Answer(self.answers[-1] if self.answers else {"done": True}, version=3)

        return self.command(request, act, status=201, idempotency="required")

    def put(self, request: Request) -> Response:
        return self.shown({"match": self.if_match(request, required=True)})

    def patch(self, request: Request) -> Response:
        return self.shown({})


urlpatterns = [path("api/v1/toy", Toy.as_view())]
handler404 = "practice.api.documents.not_found"
handler500 = "practice.api.documents.server_error"
