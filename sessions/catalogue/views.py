"""The catalogue of stretches: read by the clinical staff, edited by the owner."""

from __future__ import annotations

from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
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


def render_entry(_uow: UnitOfWork, row: Stretch) -> Representation:
    """A stretch in the version that a command left."""
    return Representation(CatalogueEntryOutputSerializer(row).data, row.version)


class CatalogueListView(CommandView):
    """The stretches in use, each in its latest version."""

    roles = {"GET": CLINICAL}
    names_no_client = True

    @endpoint(
        "List the catalogue of stretches",
        response=CatalogueEntryOutputSerializer(many=True),
        description=(
            "Everything needed to do each of them well: position, contacts, what it pulls "
            "across, cues, doses by technique, cautions, and what to do instead. Those out "
            "of use are left out."
        ),
        tags=["stretch catalogue"],
    )
    def get(self, request: Request) -> Response:
        return Response(CatalogueEntryOutputSerializer(latest_stretches(), many=True).data)

    post = Command(
        "Add a stretch to the catalogue",
        tag="stretch catalogue",
        roles=OWNER_ONLY,
        input=CatalogueEntryInputSerializer,
        output=CatalogueEntryOutputSerializer,
        status=201,
        errors=(409,),
        execute=stretch_add,
        render=render_entry,
        description=(
            "One of the practice's own. Its contacts and pulls decide what permissions say "
            "of it, so content that does not fit is 400 with the place. 409 where the code "
            "is taken."
        ),
    )


class CatalogueEntryView(CommandView):
    """One stretch in its latest version."""

    roles = {"GET": CLINICAL}
    names_no_client = True

    @endpoint(
        "Read a stretch of the catalogue",
        response=CatalogueEntryOutputSerializer,
        errors=(404,),
        description=(
            "Its latest content, out of use or not: position, contacts, pulls, cues, doses, "
            "cautions. The ETag is that version, which prescriptions and notes name."
        ),
        tags=["stretch catalogue"],
    )
    def get(self, request: Request, code: str) -> Response:
        """The latest version."""
        row = stretch_get(code)
        return self.read_response(CatalogueEntryOutputSerializer(row).data, version=row.version)

    patch = Command(
        "Change a stretch of the catalogue",
        tag="stretch catalogue",
        roles=OWNER_ONLY,
        input=CatalogueEntryPatchInputSerializer,
        output=CatalogueEntryOutputSerializer,
        errors=(404,),
        if_match="required",
        execute=stretch_change,
        render=render_entry,
        description=(
            "Adds the next version: prescriptions and notes of earlier days go on naming "
            "theirs. `is_active` false takes it out of use. Sessions to come are evaluated "
            "again."
        ),
    )


class CatalogueVersionListView(ApiView):
    """Every version, newest first."""

    roles = {"GET": CLINICAL}
    names_no_client = True

    @endpoint(
        "List the versions of a stretch",
        response=CatalogueEntryOutputSerializer(many=True),
        errors=(404,),
        description=(
            "Newest first, each whole: what a note or a home exercise of an earlier day was "
            "done by, although the catalogue has moved on."
        ),
        tags=["stretch catalogue"],
    )
    def get(self, request: Request, code: str) -> Response:
        return Response(CatalogueEntryOutputSerializer(stretch_versions(code), many=True).data)
