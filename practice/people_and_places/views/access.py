"""Signing in, tokens, my own account."""

from __future__ import annotations

from typing import Any, cast
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.accesslog.services import log_refusal
from practice.core.reasons import Rejected
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, ANYONE
from practice.http.views import ApiView, ListView
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.selectors.facilities import visible_facilities
from practice.people_and_places.serializers.access import (
    IssuedTokenOutputSerializer,
    MyAccountOutputSerializer,
    PasswordChangeInputSerializer,
    SignInInputSerializer,
    TokenOutputSerializer,
)
from practice.people_and_places.services import staff as services


@extend_schema_view(
    get=endpoint("List my tokens", response=TokenOutputSerializer(many=True), tags=["access"]),
    post=endpoint(
        "Sign in",
        request=SignInInputSerializer,
        response=IssuedTokenOutputSerializer,
        status=201,
        tags=["access"],
        public=True,
    ),
)
class TokenListView(ListView):
    """Tokens of my account; signing in makes one."""

    roles = {"GET": ANY_STAFF, "POST": ANYONE}
    serializer_class = TokenOutputSerializer
    order = ("-created_at", "id")

    def get_authenticators(self) -> list[Any]:
        """Signing in looks at no token: an expired one must not stand in its way."""
        signing_in = getattr(self.request, "method", None) == "POST"
        return [] if signing_in else super().get_authenticators()

    def get_queryset(self) -> Any:
        """My tokens, revoked ones too."""
        return AccessToken.objects.filter(staff_id=self.caller(self.request).pk)

    def get(self, request: Request) -> Response:
        """One page of my tokens."""
        return self.list_response(request)

    def post(self, request: Request) -> Response:
        """A new token for a username and password."""
        given = SignInInputSerializer.checked(request.data)
        try:
            token, row = services.sign_in(**given)
        except Rejected as refused:
            whose = services.account_named(given["username"])
            log_refusal(whose, "POST", request.path, refused.code, request_id_of(request))
            raise
        shown = TokenOutputSerializer(row).data
        return Response({**shown, "token": token, "role": row.staff.role}, status=201)


@extend_schema_view(delete=endpoint("Revoke a token", status=204, errors=(404,), tags=["access"]))
class TokenDetailView(ApiView):
    """One token."""

    roles = {"DELETE": ANY_STAFF}

    def delete(self, request: Request, token_id: UUID) -> Any:
        """Revoke my own; the owner may revoke anyone's."""
        return self.command(request, lambda uow: services.token_revoke(uow, token_id), status=204)


@extend_schema_view(
    get=endpoint("Read my account", response=MyAccountOutputSerializer, tags=["access"]),
    patch=endpoint(
        "Change my password",
        request=PasswordChangeInputSerializer,
        response=MyAccountOutputSerializer,
        tags=["access"],
    ),
)
class MyAccountView(ApiView):
    """My account, with the facilities whose rows I see."""

    roles = {"GET": ANY_STAFF, "PATCH": ANY_STAFF}

    def get(self, request: Request) -> Response:
        """My account."""
        return self.read_response(self._me(request))

    def patch(self, request: Request) -> Any:
        """Change my password; my other tokens end."""
        given = PasswordChangeInputSerializer.checked(request.data)
        keep = request.auth.digest if isinstance(request.auth, AccessToken) else ""

        def execute(uow: Any) -> Any:
            services.password_change(
                uow, given["current_password"], given["new_password"], keep=keep
            )
            return self._me(request)

        return self.command(request, execute)

    def _me(self, request: Request) -> Any:
        me = cast("Staff", self.caller(request))  # whom TokenAuthentication gives
        rows = visible_facilities(self.actor(request)).order_by("name")
        return MyAccountOutputSerializer(
            {
                "id": me.pk,
                "username": me.username,
                "name": me.name,
                "role": me.role,
                "practitioner_id": me.practitioner_id,
                "facilities": rows,
            }
        ).data
