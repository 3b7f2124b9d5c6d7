"""The catalogue of stretches: read by the clinical staff, edited by the owner."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.roles import CLINICAL, OWNER_ONLY
from practice.api.views import Answer, ApiView
from practice.eventlog.runner import Work
from sessions.api.forms.catalogue import CatalogueEntry, CatalogueIn, CataloguePatch
from sessions.models import Stretch
from sessions.selectors.catalogue import latest_stretches, stretch_get, stretch_versions
from sessions.services.catalogue import stretch_add, stretch_change


def _answer(row: Stretch) -> Answer:
    return Answer(CatalogueEntry(row).data, version=row.version)


@extend_schema_view(
    get=described(
        "List the catalogue of stretches",
        gives=CatalogueEntry(many=True),
        tags=["stretch catalogue"],
    ),
    post=described(
        "Add a stretch to the catalogue",
        takes=CatalogueIn,
        gives=CatalogueEntry,
        status=201,
        refuses=(409,),
        idempotency="optional",
        tags=["stretch catalogue"],
    ),
)
class Catalogue(ApiView):
    """The stretches in use, each in its latest version."""

    roles = {"GET": CLINICAL, "POST": OWNER_ONLY}

    def get(self, request: Request) -> Response:
        """All of them."""
        return Response(CatalogueEntry(latest_stretches(), many=True).data)

    def post(self, request: Request) -> Any:
        """A stretch of the practice's own."""
        given = CatalogueIn.checked(request.data)
        return self.command(request, lambda work: _answer(stretch_add(work, **given)), status=201)


@extend_schema_view(
    get=described(
        "Read a stretch of the catalogue",
        gives=CatalogueEntry,
        refuses=(404,),
        tags=["stretch catalogue"],
    ),
    patch=described(
        "Change a stretch of the catalogue",
        takes=CataloguePatch,
        gives=CatalogueEntry,
        refuses=(404,),
        if_match="optional",
        idempotency="optional",
        description="Adds the next version; the ones before are kept.",
        tags=["stretch catalogue"],
    ),
)
class OneStretch(ApiView):
    """One stretch in its latest version."""

    roles = {"GET": CLINICAL, "PATCH": OWNER_ONLY}

    def get(self, request: Request, code: str) -> Response:
        """The latest version."""
        row = stretch_get(code)
        return self.shown(CatalogueEntry(row).data, version=row.version)

    def patch(self, request: Request, code: str) -> Any:
        """The next version."""
        given = CataloguePatch.checked(request.data)
        match = self.if_match(request)

        def act(work: Work) -> Answer:
            return _answer(stretch_change(work, code, if_match=match, **given))

        return self.command(request, act)


@extend_schema_view(
    get=described(
        "List the versions of a stretch",
        gives=CatalogueEntry(many=True),
        refuses=(404,),
        tags=["stretch catalogue"],
    )
)
class StretchVersions(ApiView):
    """Every version, newest first."""

    roles = {"GET": CLINICAL}

    def get(self, request: Request, code: str) -> Response:
        """All of them."""
        return Response(CatalogueEntry(stretch_versions(code), many=True).data)
