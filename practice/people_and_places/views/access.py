"""Signing in, tokens, my own account."""

from __future__ import annotations

from typing import Any, cast

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.accesslog.services import log_refusal
from practice.core.reasons import Rejected
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, ANYONE
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.rendering import serialize_my_account
from practice.people_and_places.selectors.staff import tokens_of
from practice.people_and_places.serializers.access import (
    IssuedTokenOutputSerializer,
    MyAccountOutputSerializer,
    PasswordChangeInputSerializer,
    SignInInputSerializer,
    TokenOutputSerializer,
)
from practice.people_and_places.services import staff as services
from practice.people_and_places.throttle import address_of


@extend_schema_view(
    get=endpoint(
        "List my tokens",
        response=TokenOutputSerializer(many=True),
        description=(
            "The caller's own, newest first, revoked and run-out ones among them, each with "
            "its label and when it ends. The token itself is shown at sign-in alone."
        ),
        tags=["access"],
    ),
    post=endpoint(
        "Sign in",
        request=SignInInputSerializer,
        response=IssuedTokenOutputSerializer,
        status=201,
        errors=(429,),
        description=(
            "Answers a bearer token, shown this once; it runs out after the hours of the "
            "setting `access.token_hours`. A wrong username or password is 401 "
            "`wrong_credentials` and is logged as refused. After some failed tries the next "
            "must wait: 429 with `Retry-After`, a pause that grows and is never a lock."
        ),
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
        return tokens_of(self.caller(self.request).pk)

    def post(self, request: Request) -> Response:
        """A new token for a username and password."""
        given = SignInInputSerializer.checked(request.data)
        try:
            token, row = services.sign_in(**given, address=address_of(request.META))
        except Rejected as refused:
            if refused.status != 401:
                raise  # in a pause: nothing was tried
            whose = services.account_named(given["username"])
            log_refusal(whose, "POST", request.path, refused.code, request_id_of(request))
            raise
        shown = TokenOutputSerializer(row).data
        return Response({**shown, "token": token, "role": row.staff.role}, status=201)


class TokenDetailView(CommandView):
    """One token of the caller, to be revoked."""

    delete = Command(
        "Revoke a token",
        tag="access",
        roles=ANY_STAFF,
        errors=(404,),
        execute=services.token_revoke,
        description=(
            "It ends at once: a request that bears it is 401. Staff revoke their own, the "
            "owner anybody's; somebody else's is 404. A second time changes nothing."
        ),
    )


class MyAccountView(CommandView):
    """My account, with the facilities whose rows I see."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read my account",
        response=MyAccountOutputSerializer,
        description=(
            "Name, role, the practitioner that it belongs to, and the facilities whose rows "
            "the caller sees."
        ),
        tags=["access"],
    )
    def get(self, request: Request) -> Response:
        return self.read_response(serialize_my_account(cast("Staff", self.caller(request))))

    def arguments(self, request: Request, **ids: Any) -> dict[str, Any]:
        """With the token that asks: it outlives the change."""
        return {"kept_token": request.auth if isinstance(request.auth, AccessToken) else None}

    patch = Command(
        "Change my password",
        tag="access",
        roles=ANY_STAFF,
        input=PasswordChangeInputSerializer,
        output=MyAccountOutputSerializer,
        execute=services.password_change,
        render=lambda _uow, staff: serialize_my_account(staff),
        description=(
            "Takes the present one as well and refuses a weak new one (400 "
            "`weak_password`). Every other token of the account ends; the one that asks "
            "goes on."
        ),
    )
