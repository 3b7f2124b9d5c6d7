"""Who asks, as every endpoint knows them: what an authentication must give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final, Protocol
from uuid import UUID

from practice.core.terms import Role

_NOBODY: Final = UUID(int=0)


class Caller(Protocol):
    """Someone who has signed in. The authentication named in settings gives them as
    ``request.user``; a request without one has a user who ``is_authenticated`` not."""

    @property
    def pk(self) -> Any:
        """The id of the account, a UUID."""

    @property
    def role(self) -> str:
        """A word of ``Role``."""

    @property
    def practitioner_id(self) -> UUID | None:
        """The practitioner whose account it is, if any."""

    @property
    def is_authenticated(self) -> bool:
        """Always true of a caller."""


@dataclass(frozen=True)
class DescriptionCaller:
    """The caller while the OpenAPI description is generated: nobody has signed in."""

    pk: UUID = _NOBODY
    role: str = Role.OWNER
    practitioner_id: UUID | None = None
    is_authenticated: bool = True


def authenticated_caller(request: Any) -> Caller | None:
    """Who was signed in when a request failed, or None. Never asks: ``request.user`` would
    authenticate, and where the database is away that is what failed."""
    found: Caller | None = vars(request).get("_user") if request is not None else None
    return found if getattr(found, "is_authenticated", False) else None
