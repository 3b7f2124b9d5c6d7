"""The practice of the worked examples: what was made in it, and what was done beforehand."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from typing import Any, Final
from uuid import uuid4

from practice.clock import clock
from practice.core.terms import Role
from tests.api.description import Operation
from tests.api.matrix import MATRIX
from tests.builders import Api, Built, at, build_practice, ok, version_of

NOW: Final = at("2026-03-09T12:00:00-04:00")
"""A Monday noon in the east, on which every example is sent."""
ROLES: Final = (Role.PRACTITIONER, Role.FRONT_DESK, Role.BILLING, Role.OWNER)
Make = Callable[["Prepared"], str]
Before = Callable[["Prepared"], Any]
THINGS: Final[dict[str, Make]] = {}
"""Makes the thing of a name, once and only when an example asks for it, and gives its id."""
BEFORE: Final[dict[str, Before]] = {}
"""What must have happened before the example of ``<name of the address>-<method>``."""


@dataclass
class Prepared:
    """The practice, and the ids of what was made in it so far."""

    stack: ExitStack
    built: Built = field(default_factory=build_practice)
    made: dict[str, str] = field(default_factory=dict)
    match: int | None = None
    role: Role | None = None
    signed_in: dict[Role, Api] = field(default_factory=dict)

    def id(self, thing: str) -> str:
        """The id of a thing, which is made if it is not there yet."""
        if thing not in self.made:
            if thing not in THINGS:
                raise LookupError(thing)
            self.made[thing] = THINGS[thing](self)
        return self.made[thing]

    def api(self, role: Role) -> Api:
        """One token for each: under a held clock a second one would be the same."""
        if role not in self.signed_in:
            self.signed_in[role] = self.built.api(role)
        return self.signed_in[role]

    def role_for(self, one: Operation) -> Role | None:
        """Someone who may do it, those who do it every day first; None for nobody."""
        allowed = MATRIX[one.name][one.method]
        if "nobody" in allowed:
            return None
        return self.role or next(role for role in ROLES if role.value in allowed)

    def post(self, path: str, body: Any = None, role: Role = Role.OWNER, **more: Any) -> Any:
        """Something done beforehand, which must succeed."""
        answer = self.api(role).post(path, body, key=str(uuid4()), **more)
        assert answer.status_code in (200, 201, 202, 204), (
            path,
            answer.status_code,
            answer.content,
        )
        return answer.json() if answer.content else None

    def version(self, path: str, role: Role = Role.OWNER) -> int:
        return version_of(self.api(role).get(path))

    def now(self, text: str) -> None:
        """Put the clock on."""
        self.stack.enter_context(clock.at(at(text)))


def of_list(path: str) -> Make:
    return lambda p: str(ok(p.api(Role.OWNER).get(path))["results"][0]["id"])
