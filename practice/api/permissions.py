"""Deny by default: a view names the roles of each of its methods.

``roles = {"GET": ANY_STAFF, "POST": {Role.OWNER}}``. A method that a view has and
does not list is denied to all.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING, Any, Final

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from practice.domain.terms import Role

if TYPE_CHECKING:
    from rest_framework.views import APIView

ANY_STAFF: Final[frozenset[Role]] = frozenset(Role)
ANYONE: Final[frozenset[Role | None]] = frozenset({*Role, None})
"""Every role and nobody: signing in, health checks, the description of the API."""


def allowed_roles(view: Any, method: str) -> AbstractSet[Role | None]:
    """The roles that may use a method of a view; empty where none is named."""
    roles: dict[str, AbstractSet[Role | None]] = getattr(view, "roles", {})
    return roles.get("GET" if method == "HEAD" else method, frozenset())


class RolesOfTheView(BasePermission):
    """Lets a request through when its role is named for its method."""

    def has_permission(self, request: Request, view: APIView) -> bool:
        """True for a named role; an unknown method goes on to its 405."""
        method = request.method or ""
        role = getattr(request.user, "role", None)
        if not hasattr(view, method.lower()):
            return role is not None
        allowed = allowed_roles(view, method)
        return None in allowed or (role is not None and Role(role) in allowed)
