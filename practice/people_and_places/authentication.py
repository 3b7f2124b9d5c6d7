"""Bearer tokens: one indexed look-up by digest that also brings the role.

The token itself is shown once and never stored; the table holds its SHA-256.
Tokens are 256 random bits, so a plain digest cannot be searched backwards.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING

from django.db import connection
from django.db.models import Model, Subquery
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from practice.clock import clock
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.token_seals import token_is_whole
from practice.work.kept_queries import KeptQuery
from practice.work.models import PracticeStamp
from practice.work.request_cache import go_by

if TYPE_CHECKING:
    from drf_spectacular.openapi import AutoSchema

_REFUSED = "This token is unknown, expired or revoked. Sign in again."


def digest_of(token: str) -> str:
    """The key under which a token stands in the table: SHA-256 in hex."""
    return sha256(token.encode("utf-8", "surrogateescape")).hexdigest()


def _columns(model: type[Model]) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields]


_TOKEN = KeptQuery(
    lambda digest: AccessToken.objects.filter(digest=digest).values_list(
        *_columns(AccessToken),
        *(f"staff__{name}" for name in _columns(Staff)),
        Subquery(PracticeStamp.objects.values("stamp")[:1]),
    )
)


def _token_of(digest: str) -> AccessToken | None:
    """The token of a digest with the account that it belongs to, in one look-up. The stamp of
    the practice's rows comes with it: the request goes by that."""
    for *row, stamp in _TOKEN.rows(digest=digest):
        go_by(stamp)
        mine = _columns(AccessToken)
        token = AccessToken.from_db(connection.alias, mine, row[: len(mine)])
        token.staff = Staff.from_db(connection.alias, _columns(Staff), row[len(mine) :])
        return token
    return None


class TokenAuthentication(BaseAuthentication):
    """``Authorization: Bearer <token>``; 401 for anything but a live token."""

    def authenticate(self, request: Request) -> tuple[Staff, AccessToken] | None:
        """The member of staff and their token; None where no header is sent."""
        header = request.headers.get("Authorization")
        if header is None:
            return None
        scheme, _, token = header.partition(" ")
        if scheme.lower() != "bearer" or not token.strip():
            raise AuthenticationFailed("Send the header as: Authorization: Bearer <token>.")
        found = _token_of(digest_of(token.strip()))
        live = found is not None and found.is_live(clock.now()) and found.staff.is_active
        if found is None or not live or not token_is_whole(found):
            raise AuthenticationFailed(_REFUSED)
        return found.staff, found

    def authenticate_header(self, request: Request) -> str:
        """The challenge that goes with a 401."""
        return "Bearer"


class BearerScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the token stands in the OpenAPI description."""

    target_class = TokenAuthentication
    name = "bearer"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, str]:
        """An HTTP bearer scheme."""
        return {"type": "http", "scheme": "bearer", "description": "From POST /auth/tokens."}
