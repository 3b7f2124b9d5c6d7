"""Deny by default: a view names the roles of each of its methods, by one of the sets here.

``roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}``. A method that a view has and does not list
is denied to all. No view writes a set of its own, so that who may do what is compared by name.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING, Any, Final

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from practice.core.terms import Role

if TYPE_CHECKING:
    from rest_framework.views import APIView

OWNER_ONLY: Final = frozenset({Role.OWNER})
PRACTITIONER_ONLY: Final = frozenset({Role.PRACTITIONER})
CLINICAL: Final = frozenset({Role.OWNER, Role.PRACTITIONER})
"""Those who read health data in full."""
DESK: Final = frozenset({Role.OWNER, Role.FRONT_DESK})
"""Those who register clients."""
CARE: Final = frozenset({Role.OWNER, Role.FRONT_DESK, Role.PRACTITIONER})
"""Those who meet the client: they book, call, and take down what the client says."""
BILLING: Final = frozenset({Role.OWNER, Role.BILLING})
OFFICE: Final = frozenset({Role.OWNER, Role.FRONT_DESK, Role.BILLING})
"""Those who enter what payers authorize."""
PAYER_REPORTS: Final = frozenset({Role.OWNER, Role.PRACTITIONER, Role.BILLING})
"""Those who read what is reported to payers of a client's treatment."""
DIAGNOSES: Final = frozenset({Role.BILLING, Role.PRACTITIONER})
"""Those who read the diagnoses of an authorization."""
ANY_STAFF: Final[frozenset[Role]] = frozenset(Role)
ANYONE: Final[frozenset[Role | None]] = frozenset({*Role, None})
"""Every role and nobody: signing in, health checks, the description of the API."""


def allowed_roles(view: Any, method: str) -> AbstractSet[Role | None]:
    """The roles that may use a method of a view; empty where none is named."""
    roles: dict[str, AbstractSet[Role | None]] = getattr(view, "roles", {})
    return roles.get("GET" if method == "HEAD" else method, frozenset())


def _named(allowed: AbstractSet[Role | None]) -> str:
    """The roles in words, the owner last; empty where there are none."""
    roles = sorted((role for role in Role if role in allowed), key=lambda one: one is Role.OWNER)
    words = [role.value.replace("_", " ") for role in roles]
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def roles_text(allowed: AbstractSet[Role | None]) -> str:
    """A sentence that names the roles, e.g. ``Only practitioner and owner may do this.``"""
    named = _named(allowed)
    return f"Only {named} may do this." if named else "Nobody may do this."


def described_roles(allowed: AbstractSet[Role | None]) -> str:
    """Who may use an operation, as its description says it, e.g. ``For practitioner and owner.``"""
    if None in allowed:
        return "For everyone, without signing in."
    return "For all staff." if allowed >= ANY_STAFF else f"For {_named(allowed)}."


class RolePermission(BasePermission):
    """Lets a request through when its role is named for its method; a refusal names who may."""

    message: str

    def has_permission(self, request: Request, view: APIView) -> bool:
        """True for a named role; an unknown method goes on to its 405."""
        method = request.method or ""
        role = getattr(request.user, "role", None)
        if not hasattr(view, method.lower()):
            return role is not None
        allowed = allowed_roles(view, method)
        self.message = roles_text(allowed)
        return None in allowed or (role is not None and Role(role) in allowed)
