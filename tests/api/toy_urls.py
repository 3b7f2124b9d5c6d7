"""A view of its own for the shared parts that no practice resource uses yet."""

from __future__ import annotations

from typing import Any, ClassVar

from django.urls import path
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.commands import Command, CommandView
from practice.http.fields import FlagField, WholeNumberField
from practice.http.representations import Representation
from practice.http.roles import ANY_STAFF
from practice.http.serializers import StrictSerializer
from practice.policy.models import Practice


class WeeksForm(StrictSerializer):
    weeks = WholeNumberField(min_value=1, max_value=12, required=False)
    mine = FlagField(required=False)


class ToyOutputSerializer(serializers.Serializer[Any]):
    done = serializers.BooleanField()


def write(_uow: Any) -> None:
    Practice.objects.update(name="written")


def render(_uow: Any, _outcome: None) -> Representation:
    return Representation(Toy.answers[-1] if Toy.answers else {"done": True}, version=3)


class Toy(CommandView):
    roles = {"GET": ANY_STAFF}
    query_form = WeeksForm
    answers: ClassVar[list[Any]] = []

    def get(self, request: Request) -> Response:
        return self.read_response(self.query(request), version=7)

    post = Command(
        "Write",
        tag="toy",
        roles=ANY_STAFF,
        output=ToyOutputSerializer,
        status=201,
        idempotency="required",
        execute=write,
        render=render,
    )
    put = Command(
        "Say the version",
        tag="toy",
        roles=ANY_STAFF,
        output=ToyOutputSerializer,
        if_match="required",
        execute=lambda _uow, *, if_match: if_match,
        render=lambda _uow, version: {"match": version},
    )

    def patch(self, request: Request) -> Response:
        return self.read_response({})


urlpatterns = [path("api/v1/toy", Toy.as_view())]
handler404 = "practice.http.problem_documents.not_found_view"
handler500 = "practice.http.problem_documents.server_error_view"
