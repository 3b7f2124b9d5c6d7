"""Voiding an authorization: its visits are calculated again."""

from __future__ import annotations

from billing.authorizations.serializers import (
    AuthorizationOutputSerializer,
    AuthorizationReasonInputSerializer,
)
from billing.authorizations.views import render_authorization
from billing.visits.services.voiding import authorization_void
from practice.http.commands import Command, CommandView
from practice.http.roles import OFFICE


class AuthorizationVoidView(CommandView):
    """An authorization that was entered in error."""

    post = Command(
        "Void an authorization entered in error",
        tag="authorizations",
        roles=OFFICE,
        input=AuthorizationReasonInputSerializer,
        output=AuthorizationOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=authorization_void,
        render=render_authorization,
        description="What visits used of it goes back; they are calculated again by the "
        "authorizations that are left. Its number may be recorded again.",
    )
