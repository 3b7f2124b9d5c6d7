"""Authorizations: recording, amending, ending, listing."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations import services as authorizations
from billing.authorizations.domain.events import AuthorizationRecorded, AuthorizationTerms
from billing.authorizations.filters import AuthorizationFilter
from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import authorization_get, authorization_list
from billing.authorizations.selectors.naming import name_authorizations
from billing.authorizations.serializers import (
    AuthorizationEndInputSerializer,
    AuthorizationInputSerializer,
    AuthorizationOutputSerializer,
    AuthorizationPatchInputSerializer,
)
from clients.identity.client_views import ClientRecordView
from practice.core.terms import Role
from practice.http.base_views import ApiView, CommandResponse, ListView
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, OFFICE
from practice.http.serializers import build_command
from practice.work.unit_of_work import UnitOfWork


def authorization_response(uow: UnitOfWork, authorization_id: UUID, role: Role) -> CommandResponse:
    """An authorization after a command, as one role sees it."""
    row = Authorization.objects.get(pk=authorization_id)
    return CommandResponse(
        AuthorizationOutputSerializer(row, context={"role": role}).data, version=row.version
    )


class NamedAuthorizationListView(ListView):
    """A list whose rows are shown by role, with names; each client's record on it is read."""

    def prepare_rows(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "authorizations")
        return name_authorizations(rows)

    def get_serializer_context(self) -> dict[str, Any]:
        """With the role of the one who asks."""
        return {**super().get_serializer_context(), "role": self.actor(self.request).role}


@extend_schema_view(
    get=endpoint(
        "List authorizations",
        response=AuthorizationOutputSerializer(many=True),
        tags=["authorizations"],
    )
)
class AuthorizationListView(NamedAuthorizationListView):
    """Authorizations of the clients that I see, those that end first on top."""

    roles = {"GET": ANY_STAFF}
    serializer_class = AuthorizationOutputSerializer
    filterset_class = AuthorizationFilter
    order = ("last_day", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        return authorization_list(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.list_response(request)


@extend_schema_view(
    get=endpoint(
        "List a client's authorizations",
        response=AuthorizationOutputSerializer(many=True),
        errors=(404,),
        tags=["authorizations"],
    ),
    post=endpoint(
        "Record an authorization",
        request=AuthorizationInputSerializer,
        response=AuthorizationOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="optional",
        tags=["authorizations"],
    ),
)
class ClientAuthorizationListView(ClientRecordView, NamedAuthorizationListView):
    """What payers authorized for one client."""

    roles = {"GET": ANY_STAFF, "POST": OFFICE}
    serializer_class = AuthorizationOutputSerializer
    order = ("coverage_order", "last_day", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Authorization.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page; 404 for a client that I do not see."""
        return self.list_response(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new authorization."""
        given = AuthorizationInputSerializer.checked_for(self.role(request), request.data)
        actor = self.actor(request)
        payer_id, terms = given.pop("payer_id"), build_command(AuthorizationTerms, given)

        def execute(uow: UnitOfWork) -> CommandResponse:
            outcome = authorizations.authorization_record(
                uow, client_id=client_id, payer_id=payer_id, terms=terms
            )
            made = outcome.first(AuthorizationRecorded)
            return authorization_response(uow, made.authorization_id, actor.role)

        return self.command(request, execute, status=201)


@extend_schema_view(
    get=endpoint(
        "Read an authorization",
        response=AuthorizationOutputSerializer,
        errors=(404,),
        tags=["authorizations"],
    ),
    patch=endpoint(
        "Amend an authorization",
        request=AuthorizationPatchInputSerializer,
        response=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        description="Fields left out stay. Draws that stand, stand.",
        tags=["authorizations"],
    ),
)
class AuthorizationDetailView(ApiView):
    """One authorization."""

    roles = {"GET": ANY_STAFF, "PATCH": OFFICE}

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """With what is used and left; its version as ETag."""
        actor = self.actor(request)
        row = authorization_get(actor, authorization_id)
        self.log_read(request, row.client_id, "authorization")
        shown = AuthorizationOutputSerializer(row, context={"role": actor.role}).data
        return self.read_response(shown, version=row.version)

    def patch(self, request: Request, authorization_id: UUID) -> Any:
        """Extend, reduce or correct."""
        actor, match = self.actor(request), self.if_match(request)
        changes = AuthorizationPatchInputSerializer.checked_for(actor.role, request.data)
        reason = changes.pop("reason")
        row = authorization_get(actor, authorization_id)

        def execute(uow: UnitOfWork) -> CommandResponse:
            authorizations.authorization_amend(
                uow,
                client_id=row.client_id,
                authorization_id=authorization_id,
                reason=reason,
                changes=changes,
                if_match=match,
            )
            return authorization_response(uow, authorization_id, actor.role)

        return self.command(request, execute)


@extend_schema_view(
    post=endpoint(
        "End an authorization early",
        request=AuthorizationEndInputSerializer,
        response=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["authorizations"],
    )
)
class AuthorizationEndView(ApiView):
    """The early end of an authorization."""

    roles = {"POST": OFFICE}

    def post(self, request: Request, authorization_id: UUID) -> Any:
        """Nothing is drawn for days after its last day; earlier draws stand."""
        given, actor = AuthorizationEndInputSerializer.checked(request.data), self.actor(request)
        match, row = self.if_match(request), authorization_get(actor, authorization_id)

        def execute(uow: UnitOfWork) -> CommandResponse:
            authorizations.authorization_end(
                uow,
                client_id=row.client_id,
                authorization_id=authorization_id,
                if_match=match,
                **given,
            )
            return authorization_response(uow, authorization_id, actor.role)

        return self.command(request, execute)
