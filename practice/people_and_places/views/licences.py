"""Licences of practitioners, and the techniques that they are signed off for."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OWNER_ONLY
from practice.http.views import ApiView, CommandResponse, ListView, with_warnings
from practice.people_and_places.models.practitioners import Licence
from practice.people_and_places.selectors.practitioners import competences_of, licences_of
from practice.people_and_places.serializers.people import (
    CompetenceSerializer,
    LicenceInputSerializer,
    LicenceOutputSerializer,
)
from practice.people_and_places.services import practitioners as services
from practice.people_and_places.views.practitioners import practitioner_get
from practice.work.unit_of_work import UnitOfWork


def _licence_with_warnings(uow: UnitOfWork, row: Licence) -> CommandResponse:
    """A licence with what does not let it count."""
    today = services.latest_today(row.practitioner_id, uow.now)
    return with_warnings(
        LicenceInputSerializer(row).data, services.licence_warnings(row, today), row.revision
    )


@extend_schema_view(
    get=endpoint(
        "List a practitioner's licences",
        response=LicenceInputSerializer(many=True),
        errors=(404,),
        tags=["people"],
    ),
    post=endpoint(
        "Record a licence",
        request=LicenceInputSerializer,
        response=LicenceOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        tags=["people"],
    ),
)
class LicenceListView(ListView):
    """Licences of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = LicenceInputSerializer
    order = ("expires_on", "id")

    def get_queryset(self) -> Any:
        """Expired ones too."""
        return licences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.list_response(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new licence."""
        given = LicenceInputSerializer.checked(request.data)

        def execute(uow: Any) -> CommandResponse:
            row = services.licence_add(uow, practitioner_id, given)
            return _licence_with_warnings(uow, row)

        return self.command(request, execute, status=201)


@extend_schema_view(
    patch=endpoint(
        "Renew or correct a licence",
        request=LicenceInputSerializer(partial=True),
        response=LicenceOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        tags=["people"],
    )
)
class LicenceDetailView(ApiView):
    """One licence."""

    roles = {"PATCH": OWNER_ONLY}

    def patch(self, request: Request, practitioner_id: UUID, licence_id: UUID) -> Any:
        """Change what is given."""
        given = LicenceInputSerializer.checked(request.data, partial=True)
        match = self.if_match(request)

        def execute(uow: Any) -> CommandResponse:
            row = services.licence_change(uow, practitioner_id, licence_id, given, match)
            return _licence_with_warnings(uow, row)

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "List the techniques a practitioner is signed off for",
        response=CompetenceSerializer(many=True),
        errors=(404,),
        tags=["people"],
    ),
    post=endpoint(
        "Sign a practitioner off for a technique",
        request=CompetenceSerializer,
        response=CompetenceSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        description="To correct a sign-off, take it back and add it anew.",
        tags=["people"],
    ),
)
class CompetenceListView(ListView):
    """Sign-offs of one practitioner."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = CompetenceSerializer
    order = ("technique", "id")

    def get_queryset(self) -> Any:
        """Those in force."""
        return competences_of(self.kwargs.get("practitioner_id"))

    def get(self, request: Request, practitioner_id: UUID) -> Response:
        """One page."""
        practitioner_get(self, request, practitioner_id)
        return self.list_response(request)

    def post(self, request: Request, practitioner_id: UUID) -> Any:
        """A new sign-off."""
        given = CompetenceSerializer.checked(request.data)
        return self.command(
            request,
            lambda uow: (
                CompetenceSerializer(services.competence_add(uow, practitioner_id, given)).data
            ),
            status=201,
        )


@extend_schema_view(
    delete=endpoint("Take a sign-off back", status=204, errors=(404,), tags=["people"])
)
class CompetenceDetailView(ApiView):
    """One sign-off."""

    roles = {"DELETE": OWNER_ONLY}

    def delete(self, request: Request, practitioner_id: UUID, competence_id: UUID) -> Any:
        """Take it back; future sessions are judged again."""
        return self.command(
            request,
            lambda uow: services.competence_remove(uow, practitioner_id, competence_id),
            status=204,
        )
