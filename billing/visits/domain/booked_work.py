"""Who gives a session, whether it is booked or signed. Pure."""

from __future__ import annotations

from typing import Protocol
from uuid import UUID

from practice.core.terms import Credential


class Work(Protocol):
    """A session as a payer looks at it: given by whom, under which credential."""

    @property
    def practitioner_id(self) -> UUID:
        """Who gives it."""

    @property
    def credential(self) -> Credential:
        """Under which credential."""

    @property
    def class_id(self) -> UUID | None:
        """The class in which it is a place."""
