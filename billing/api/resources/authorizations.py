"""Authorizations: recording, amending, ending, listing."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.api.filters.authorizations import AuthorizationFilter
from billing.api.forms.authorizations import (
    AuthorizationPatch,
    AuthorizationRow,
    EndingForm,
    NewAuthorization,
)
from billing.domain.events import AuthorizationRecorded, Terms
from billing.models.drawn import Authorization
from billing.selectors.authorizations import authorization_get, authorization_list
from billing.selectors.naming import shown_authorizations
from billing.services import authorizations
from clients.api.clientview import ClientView
from practice.api.describe import described
from practice.api.roles import ANY_STAFF, OFFICE
from practice.api.serializers import build
from practice.api.views import Answer, ApiView, ListView
from practice.domain.terms import Role
from practice.eventlog.runner import Work


def answer(work: Work, authorization_id: UUID, role: Role) -> Answer:
    """An authorization after a command, as one role sees it."""
    row = Authorization.objects.get(pk=authorization_id)
    return Answer(AuthorizationRow(row, context={"role": role}).data, version=row.version)


class RoleInContext(ListView):
    """A list whose rows are shown by role, with names; each client's record on it is read."""

    def prepared(self, request: Request, rows: list[Any]) -> list[Any]:
        """With names; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "authorizations")
        return shown_authorizations(rows)

    def get_serializer_context(self) -> dict[str, Any]:
        """With the role of the one who asks."""
        return {**super().get_serializer_context(), "role": self.actor(self.request).role}


@extend_schema_view(
    get=described("List authorizations", gives=AuthorizationRow(many=True), tags=["authorizations"])
)
class Authorizations(RoleInContext):
    """Authorizations of the clients that I see, those that end first on top."""

    roles = {"GET": ANY_STAFF}
    serializer_class = AuthorizationRow
    filterset_class = AuthorizationFilter
    order = ("last_day", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        return authorization_list(self.actor(self.request))

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)


@extend_schema_view(
    get=described(
        "List a client's authorizations",
        gives=AuthorizationRow(many=True),
        refuses=(404,),
        tags=["authorizations"],
    ),
    post=described(
        "Record an authorization",
        takes=NewAuthorization,
        gives=AuthorizationRow,
        status=201,
        refuses=(404, 409),
        idempotency="optional",
        tags=["authorizations"],
    ),
)
class ClientAuthorizations(ClientView, RoleInContext):
    """What payers authorized for one client."""

    roles = {"GET": ANY_STAFF, "POST": OFFICE}
    serializer_class = AuthorizationRow
    order = ("coverage_order", "last_day", "id")

    def get_queryset(self) -> Any:
        """Hers."""
        return Authorization.objects.filter(client_id=self.kwargs.get("client_id"))

    def get(self, request: Request, client_id: UUID) -> Response:
        """One page; 404 for a client that I do not see."""
        self.seen(request, client_id)
        return self.listed(request)

    def post(self, request: Request, client_id: UUID) -> Any:
        """A new authorization."""
        given = NewAuthorization.checked_for(self.role(request), request.data)
        actor = self.seen(request, client_id)
        payer_id, terms = given.pop("payer_id"), build(Terms, given)

        def act(work: Work) -> Answer:
            outcome = authorizations.authorization_record(
                work, client_id=client_id, payer_id=payer_id, terms=terms
            )
            made = outcome.first(AuthorizationRecorded)
            return answer(work, made.authorization_id, actor.role)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described(
        "Read an authorization", gives=AuthorizationRow, refuses=(404,), tags=["authorizations"]
    ),
    patch=described(
        "Amend an authorization",
        takes=AuthorizationPatch,
        gives=AuthorizationRow,
        refuses=(404, 409),
        if_match="optional",
        description="Fields left out stay. Draws that stand, stand.",
        tags=["authorizations"],
    ),
)
class OneAuthorization(ApiView):
    """One authorization."""

    roles = {"GET": ANY_STAFF, "PATCH": OFFICE}

    def get(self, request: Request, authorization_id: UUID) -> Response:
        """With what is used and left; its version as ETag."""
        actor = self.actor(request)
        row = authorization_get(actor, authorization_id)
        self.log_read(request, row.client_id, "authorization")
        shown = AuthorizationRow(row, context={"role": actor.role}).data
        return self.shown(shown, version=row.version)

    def patch(self, request: Request, authorization_id: UUID) -> Any:
        """Extend, reduce or correct."""
        actor, match = self.actor(request), self.if_match(request)
        changes = AuthorizationPatch.checked_for(actor.role, request.data)
        reason = changes.pop("reason")
        row = authorization_get(actor, authorization_id)

        def act(work: Work) -> Answer:
            authorizations.authorization_amend(
                work,
                client_id=row.client_id,
                authorization_id=authorization_id,
                reason=reason,
                changes=changes,
                if_match=match,
            )
            return answer(work, authorization_id, actor.role)

        return self.command(request, act)


@extend_schema_view(
    post=described(
        "End an authorization early",
        takes=EndingForm,
        gives=AuthorizationRow,
        refuses=(404, 409),
        if_match="optional",
        idempotency="optional",
        tags=["authorizations"],
    )
)
class Ending(ApiView):
    """The early end of an authorization."""

    roles = {"POST": OFFICE}

    def post(self, request: Request, authorization_id: UUID) -> Any:
        """Nothing is drawn for days after its last day; earlier draws stand."""
        given, actor = EndingForm.checked(request.data), self.actor(request)
        match, row = self.if_match(request), authorization_get(actor, authorization_id)

        def act(work: Work) -> Answer:
            authorizations.authorization_end(
                work,
                client_id=row.client_id,
                authorization_id=authorization_id,
                if_match=match,
                **given,
            )
            return answer(work, authorization_id, actor.role)

        return self.command(request, act)
