"""Signing in, tokens, my own account."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.forms.access import Me, NewToken, PasswordChange, SignIn, TokenRow
from practice.api.middleware import request_id_of
from practice.api.roles import ANY_STAFF, ANYONE
from practice.api.views import ApiView, ListView
from practice.domain.reasons import Rejected
from practice.eventlog.accesslog import log_refusal
from practice.models import AccessToken
from practice.selectors import visible_facilities
from practice.services import staff as services


@extend_schema_view(
    get=described("List my tokens", gives=TokenRow(many=True), tags=["access"]),
    post=described(
        "Sign in", takes=SignIn, gives=NewToken, status=201, tags=["access"], public=True
    ),
)
class Tokens(ListView):
    """Tokens of my account; signing in makes one."""

    roles = {"GET": ANY_STAFF, "POST": ANYONE}
    serializer_class = TokenRow
    order = ("-created_at", "id")

    def get_authenticators(self) -> list[Any]:
        """Signing in looks at no token: an expired one must not stand in its way."""
        signing_in = getattr(self.request, "method", None) == "POST"
        return [] if signing_in else super().get_authenticators()

    def get_queryset(self) -> Any:
        """My tokens, revoked ones too."""
        return AccessToken.objects.filter(staff=self.staff(self.request))

    def get(self, request: Request) -> Response:
        """One page of my tokens."""
        return self.listed(request)

    def post(self, request: Request) -> Response:
        """A new token for a username and password."""
        given = SignIn.checked(request.data)
        try:
            token, row = services.sign_in(**given)
        except Rejected as refused:
            whose = services.account_named(given["username"])
            log_refusal(whose, "POST", request.path, refused.code, request_id_of(request))
            raise
        shown = TokenRow(row).data
        return Response({**shown, "token": token, "role": row.staff.role}, status=201)


@extend_schema_view(delete=described("Revoke a token", status=204, refuses=(404,), tags=["access"]))
class Token(ApiView):
    """One token."""

    roles = {"DELETE": ANY_STAFF}

    def delete(self, request: Request, token_id: UUID) -> Any:
        """Revoke my own; the owner may revoke anyone's."""
        return self.command(request, lambda work: services.token_revoke(work, token_id), status=204)


@extend_schema_view(
    get=described("Read my account", gives=Me, tags=["access"]),
    patch=described("Change my password", takes=PasswordChange, gives=Me, tags=["access"]),
)
class MyAccount(ApiView):
    """My account, with the facilities whose rows I see."""

    roles = {"GET": ANY_STAFF, "PATCH": ANY_STAFF}

    def get(self, request: Request) -> Response:
        """My account."""
        return self.shown(self._me(request))

    def patch(self, request: Request) -> Any:
        """Change my password; my other tokens end."""
        given = PasswordChange.checked(request.data)
        keep = request.auth.digest if isinstance(request.auth, AccessToken) else ""

        def act(work: Any) -> Any:
            services.password_change(
                work, given["current_password"], given["new_password"], keep=keep
            )
            return self._me(request)

        return self.command(request, act)

    def _me(self, request: Request) -> Any:
        me = self.staff(request)
        rows = visible_facilities(self.actor(request)).order_by("name")
        return Me(
            {
                "id": me.pk,
                "username": me.username,
                "name": me.name,
                "role": me.role,
                "practitioner_id": me.practitioner_id,
                "facilities": rows,
            }
        ).data
