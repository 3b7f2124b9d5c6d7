"""The catalogue of stretches: read by the clinical staff, edited by the owner."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView, CommandResponse
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, OWNER_ONLY
from practice.work.unit_of_work import UnitOfWork
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import latest_stretches, stretch_get, stretch_versions
from sessions.catalogue.serializers import (
    CatalogueEntryInputSerializer,
    CatalogueEntryOutputSerializer,
    CatalogueEntryPatchInputSerializer,
)
from sessions.catalogue.services import stretch_add, stretch_change


def _entry_response(row: Stretch) -> CommandResponse:
    return CommandResponse(CatalogueEntryOutputSerializer(row).data, version=row.version)


@extend_schema_view(
    get=endpoint(
        "List the catalogue of stretches",
        response=CatalogueEntryOutputSerializer(many=True),
        tags=["stretch catalogue"],
    ),
    post=endpoint(
        "Add a stretch to the catalogue",
        request=CatalogueEntryInputSerializer,
        response=CatalogueEntryOutputSerializer,
        status=201,
        errors=(409,),
        idempotency="optional",
        tags=["stretch catalogue"],
    ),
)
class CatalogueListView(ApiView):
    """The stretches in use, each in its latest version."""

    roles = {"GET": CLINICAL, "POST": OWNER_ONLY}

    def get(self, request: Request) -> Response:
        """All of them."""
        return Response(CatalogueEntryOutputSerializer(latest_stretches(), many=True).data)

    def post(self, request: Request) -> Any:
        """A stretch of the practice's own."""
        given = CatalogueEntryInputSerializer.checked(request.data)
        return self.command(
            request, lambda uow: _entry_response(stretch_add(uow, **given)), status=201
        )


@extend_schema_view(
    get=endpoint(
        "Read a stretch of the catalogue",
        response=CatalogueEntryOutputSerializer,
        errors=(404,),
        tags=["stretch catalogue"],
    ),
    patch=endpoint(
        "Change a stretch of the catalogue",
        request=CatalogueEntryPatchInputSerializer,
        response=CatalogueEntryOutputSerializer,
        errors=(404,),
        if_match="optional",
        idempotency="optional",
        description="Adds the next version; the ones before are kept.",
        tags=["stretch catalogue"],
    ),
)
class CatalogueEntryView(ApiView):
    """One stretch in its latest version."""

    roles = {"GET": CLINICAL, "PATCH": OWNER_ONLY}

    def get(self, request: Request, code: str) -> Response:
        """The latest version."""
        row = stretch_get(code)
        return self.read_response(CatalogueEntryOutputSerializer(row).data, version=row.version)

    def patch(self, request: Request, code: str) -> Any:
        """The next version."""
        given = CatalogueEntryPatchInputSerializer.checked(request.data)
        match = self.if_match(request)

        def execute(uow: UnitOfWork) -> CommandResponse:
            return _entry_response(stretch_change(uow, code, if_match=match, **given))

        return self.command(request, execute)


@extend_schema_view(
    get=endpoint(
        "List the versions of a stretch",
        response=CatalogueEntryOutputSerializer(many=True),
        errors=(404,),
        tags=["stretch catalogue"],
    )
)
class CatalogueVersionListView(ApiView):
    """Every version, newest first."""

    roles = {"GET": CLINICAL}

    def get(self, request: Request, code: str) -> Response:
        """All of them."""
        return Response(CatalogueEntryOutputSerializer(stretch_versions(code), many=True).data)
