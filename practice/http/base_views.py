"""The base of every view: who asks, who may, how one thing and lists are read."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from typing import Any, ClassVar
from uuid import UUID

from django.http.response import HttpResponseBase
from rest_framework.generics import GenericAPIView
from rest_framework.parsers import BaseParser
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from practice.accesslog.services import log_read, log_reads
from practice.core.decisions import Actor
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http.callers import Caller, DescriptionCaller
from practice.http.etags import etag
from practice.http.filters import StrictFilterBackend, refuse_unknown_parameters
from practice.http.middleware import request_id_of
from practice.http.openapi import RecordSchema
from practice.http.pagination import CursorPages
from practice.http.parsers import StrictJSONParser
from practice.http.roles import RolePermission
from practice.http.serializers import StrictSerializer


class ApiView(APIView):
    """A view that names its roles per method; what is not named is denied.

    ``query_parameters`` or ``query_form`` name what may stand in the query string.
    ``names_no_client``: what a GET shows is of the practice alone, so that the caller's own
    cache may keep it and ask whether it still stands; else nothing is kept outside the program.
    """

    roles: ClassVar[dict[str, AbstractSet[Role] | AbstractSet[Role | None]]] = {}
    query_parameters: ClassVar[AbstractSet[str]] = frozenset()
    query_form: ClassVar[type[StrictSerializer] | None] = None
    names_no_client: ClassVar[bool] = False

    permission_classes = (RolePermission,)
    parser_classes: tuple[type[BaseParser], ...] = (StrictJSONParser,)
    renderer_classes: tuple[type[BaseRenderer], ...] = (JSONRenderer,)
    metadata_class = None
    schema = RecordSchema()
    http_method_names = ["get", "post", "put", "patch", "delete", "head"]

    @property
    def default_response_headers(self) -> dict[str, str]:
        """What every answer bears: it depends on who asks and on what they can read."""
        headers = {**super().default_response_headers, "Vary": "Accept, Authorization"}
        if self.names_no_client and self.request.method in ("GET", "HEAD"):
            headers["Cache-Control"] = "private, no-cache"
        return headers

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Who may come in, what may stand in the query string, and whether it is visible."""
        super().initial(request, *args, **kwargs)
        if hasattr(self, (request.method or "").lower()):
            refuse_unknown_parameters(request, self.known_parameters())
            self.check_visible(request, **kwargs)

    def check_visible(self, request: Request, **ids: Any) -> None:
        """Raises Rejected 404 where the caller may not see what the path is below of."""

    def known_parameters(self) -> set[str]:
        """The query parameters that this view takes."""
        form = self.query_form
        return {*self.query_parameters, *(form().fields if form is not None else ())}

    def query(self, request: Request) -> dict[str, Any]:
        """The query string, validated by ``query_form``."""
        if self.query_form is None:
            return {}
        return self.query_form.checked(dict(request.query_params.items()), from_query=True)

    def actor(self, request: Request) -> Actor:
        """Who asks. Only for views that nobody may use without signing in."""
        caller = self.caller(request)
        return Actor(id=caller.pk, role=Role(caller.role), practitioner_id=caller.practitioner_id)

    def caller(self, request: Request) -> Caller:
        """Who asks, as the authentication gave them. Raises Rejected 401 where nobody signed in."""
        if getattr(self, "swagger_fake_view", False):
            return DescriptionCaller()
        if not request.user.is_authenticated:
            raise Rejected("not_signed_in", "Sign in first.", status=401)
        return request.user

    def log_read(self, request: Request, client_id: UUID, what: str) -> None:
        """Keep that this member of staff read a client's record; ``what`` names the part."""
        log_read(
            staff_id=self.caller(request).pk,
            client_id=client_id,
            what=what,
            request_id=request_id_of(request),
        )

    def log_reads(self, request: Request, client_ids: Iterable[UUID], what: str) -> None:
        """The same for every client whom a list shows; nothing where it shows none."""
        named = frozenset(client_ids)
        if named:
            log_reads(
                staff_id=self.caller(request).pk,
                client_ids=named,
                what=what,
                request_id=request_id_of(request),
            )

    def read_response(self, data: Any, *, version: int | None = None) -> Response:
        """An answer to a read, with its ETag where it has a version."""
        headers = {"ETag": etag(version)} if version is not None else None
        return Response(data, headers=headers)


class PagedView(ApiView, GenericAPIView[Any]):
    """Rows in pages: strict filters, a total order, cursors.

    Subclasses give ``get_queryset``, ``serializer_class``, ``order`` (columns never
    null, the last one unique) and, where there is one, ``filterset_class``.
    """

    order: tuple[str, ...] = ("id",)
    filter_backends = (StrictFilterBackend,)
    pagination_class = CursorPages

    def known_parameters(self) -> set[str]:
        """The filters and the parameters of paging; other methods take none."""
        if self.request.method not in ("GET", "HEAD"):
            return set()
        paging = {"cursor", "page_size"} if self.pagination_class is not None else set()
        return super().known_parameters() | StrictFilterBackend().names_for(self) | paging

    def query(self, request: Request) -> dict[str, Any]:
        """The query string without what belongs to paging, validated by ``query_form``."""
        if self.query_form is None:
            return {}
        own = {k: v for k, v in request.query_params.items() if k not in ("cursor", "page_size")}
        return self.query_form.checked(own, from_query=True)

    def list_response(self, request: Request) -> Response:
        """One page of the list."""
        rows = self.filter_queryset(self.get_queryset())
        page = self.paginate_queryset(rows)
        if page is None:
            return Response(self.serialize_rows(request, list(rows.order_by(*self.order))))
        return self.get_paginated_response(self.serialize_rows(request, list(page)))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """The rows of a page as shown. Overridden where names are put beside ids, where a role
        reads less, and where reads of clients' records are logged."""
        return self.get_serializer(rows, many=True).data


class ListView(PagedView):
    """A view whose GET is one page of rows."""

    def get(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponseBase:
        return self.list_response(request)
