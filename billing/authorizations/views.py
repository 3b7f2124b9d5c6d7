"""Authorizations: recording, amending, ending, listing."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from billing.authorizations import services
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.filters import AuthorizationFilter
from billing.authorizations.models import Authorization
from billing.authorizations.selectors.authorizations import (
    authorization_get,
    authorization_list,
    authorizations_of,
)
from billing.authorizations.selectors.extensions import coverable_visits_of
from billing.authorizations.selectors.naming import name_authorizations
from billing.authorizations.serializers import (
    AuthorizationEndInputSerializer,
    AuthorizationInputSerializer,
    AuthorizationOutputSerializer,
    AuthorizationPatchInputSerializer,
    AuthorizationReasonInputSerializer,
)
from clients.identity.client_views import ClientRecordView
from practice.core.terms import Role
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import ANY_STAFF, OFFICE
from practice.work.unit_of_work import Outcome, UnitOfWork


def render_authorization(uow: UnitOfWork, outcome: Outcome) -> Representation:
    """An authorization after a command, as the caller's role sees it, and how many visits it
    would cover now."""
    row = authorization_get(uow.actor, outcome.entity_id)
    balance = uow.states(row.client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    shown = _serialize(uow.actor.role, row)
    return Representation(
        {**shown, "coverable_visits": coverable_visits_of(balance, row.pk)}, row.version
    )


def _serialize(role: Role, row: Authorization) -> Any:
    return AuthorizationOutputSerializer(row, context={"role": role}).data


class NamedAuthorizationListView(ListView):
    """A list whose rows are shown by role, with names; each client's record on it is read."""

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names, as the role may read them; reads are logged."""
        self.log_reads(request, (row.client_id for row in rows), "authorizations")
        context = {"role": self.actor(request).role}
        named = name_authorizations(rows)
        return AuthorizationOutputSerializer(named, many=True, context=context).data


@extend_schema_view(
    get=endpoint(
        "List authorizations",
        response=AuthorizationOutputSerializer(many=True),
        description=(
            "Those of clients whom the caller sees, the earliest end on top, each with what "
            "is used and left and `warnings` where it runs out. Filters narrow by client, "
            "payer, last day and state. Every client on the page counts as read."
        ),
        tags=["authorizations"],
    )
)
class AuthorizationListView(NamedAuthorizationListView):
    """Authorizations of the clients that I see, those that end first on top."""

    roles = {"GET": ANY_STAFF}
    filterset_class = AuthorizationFilter
    order = ("last_day", "id")

    def get_queryset(self) -> Any:
        """Mine, or all for owner and billing."""
        return authorization_list(self.actor(self.request))


@extend_schema_view(
    get=endpoint(
        "List a client's authorizations",
        response=AuthorizationOutputSerializer(many=True),
        errors=(404,),
        description=(
            "All that are on record, ended and voided ones among them, each with what is "
            "used and left. 404 for somebody whom the caller does not see; that it was read "
            "is logged."
        ),
        tags=["authorizations"],
    )
)
class ClientAuthorizationListView(ClientRecordView, NamedAuthorizationListView):
    """What payers authorized for one client."""

    roles = {"GET": ANY_STAFF}
    order = ("coverage_order", "last_day", "id")

    def get_queryset(self) -> Any:
        return authorizations_of(self.kwargs.get("client_id"))

    post = Command(
        "Record an authorization",
        tag="authorizations",
        roles=OFFICE,
        input=AuthorizationInputSerializer,
        output=AuthorizationOutputSerializer,
        status=201,
        errors=(404, 409),
        execute=services.authorization_record,
        render=render_authorization,
        description="What a payer allows in visits, units or minutes, for a period, in all and per"
        " service code. The answer says how many visits it would cover now: nothing is covered by"
        " itself. 409 where the payer's number is on this record already.",
    )


class AuthorizationDetailView(CommandView):
    """One authorization with what is left of it; changed with a reason."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read an authorization",
        response=AuthorizationOutputSerializer,
        errors=(404,),
        description=(
            "Its terms, what visits used of it, what is reserved for units that wait for a "
            "choice, and what is left; `warnings` forbid nothing. Diagnoses are shown to "
            "billing and practitioners alone. Its version, for `If-Match`, is the ETag."
        ),
        tags=["authorizations"],
    )
    def get(self, request: Request, authorization_id: UUID) -> Response:
        """With what is used and left; its version as ETag."""
        actor = self.actor(request)
        row = authorization_get(actor, authorization_id)
        self.log_read(request, row.client_id, "authorization")
        return self.read_response(_serialize(actor.role, row), version=row.version)

    patch = Command(
        "Amend an authorization",
        tag="authorizations",
        roles=OFFICE,
        input=AuthorizationPatchInputSerializer,
        output=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=services.authorization_amend,
        render=render_authorization,
        description="Fields left out stay. What was used stays used, also beyond a reduced number;"
        " days left outside the new period are named. The answer says how many visits it would"
        " cover now. The reason is kept with it. 409 where it has ended.",
    )


class AuthorizationEndView(CommandView):
    """The early end of an authorization."""

    post = Command(
        "End an authorization early",
        tag="authorizations",
        roles=OFFICE,
        input=AuthorizationEndInputSerializer,
        output=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=services.authorization_end,
        render=render_authorization,
        description="Nothing of it is used for days after its last day; earlier use stands. "
        "One that was ended is ended on another day in the same way.",
    )


class AuthorizationReopenView(CommandView):
    """An early end that is taken back."""

    post = Command(
        "Reopen an authorization that was ended early",
        tag="authorizations",
        roles=OFFICE,
        input=AuthorizationReasonInputSerializer,
        example={"reason": "the payer stays after all"},
        output=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=services.authorization_reopen,
        render=render_authorization,
        description="It runs to the last day that was authorized again, with the reason kept. The"
        " answer says how many visits it would cover now: nothing is covered by itself.",
    )
