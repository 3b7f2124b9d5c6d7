"""An endpoint that changes something is a declaration; the OpenAPI description is read from it.

class SessionMoveView(CommandView):
post = Command(
"Move a session, or plan it anew",
tag="sessions",
roles=CARE,
input=SessionMoveInputSerializer,
output=SessionOutputSerializer,
errors=(404, 409),
if_match="optional",
execute=session_move,
render=render_session,
)
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import KW_ONLY, dataclass
from typing import Any, ClassVar, Final, Literal
from uuid import UUID

from django.http import HttpResponse
from msgspec import structs
from rest_framework.request import Request

from practice.core.decisions import Actor
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http.base_views import ApiView
from practice.http.etags import parse_if_match
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.representations import http_response, no_content, stored_response
from practice.http.serializers import StrictSerializer
from practice.work.commands import run_command
from practice.work.idempotency import IdempotencyClaim, StoredResponse
from practice.work.unit_of_work import UnitOfWork

_METHODS: Final = ("post", "put", "patch", "delete")
_KEY: Final = re.compile(r"\A[\x21-\x7e]{1,200}\Z")


@dataclass(frozen=True)
class Command:
    """One method of an endpoint that changes something.

    ``execute(uow, **arguments)`` is the service. Its arguments are the ids of the path by
    name, ``command``: what ``input`` validated (see ``StrictSerializer.to_command``), and
    ``if_match``: the version that the caller has read, or None; the last two only where they
    are declared. ``render(uow, outcome)`` gives data or a Representation; without one the
    answer is 204. ``partial``: whole fields of ``input`` may be left out. ``errors`` are the
    statuses of problems beyond those that follow from the rest. ``example`` is a worked body
    where that of ``input`` does not fit this method. Without a ``description`` the view's
    docstring is the one.
    """

    summary: str
    _: KW_ONLY
    tag: str
    roles: AbstractSet[Role]
    execute: Callable[..., Any]
    render: Callable[[Any, Any], Any] = no_content
    input: type[StrictSerializer] | None = None
    example: Mapping[str, Any] | None = None
    partial: bool = False
    output: Any = None
    status: int = 200
    errors: tuple[int, ...] = ()
    if_match: Literal["optional", "required"] | None = None
    idempotency: Literal["optional", "required"] = "optional"
    description: str = ""

    def __post_init__(self) -> None:
        if (self.output is None) != (self.render is no_content):
            raise TypeError(f"{self.summary!r} needs both an output and its renderer, or neither")

    @property
    def success(self) -> int:
        """The status of a success: 204 for a command that answers nothing."""
        return 204 if self.output is None else self.status

    def described(self, handler: Callable[..., HttpResponse]) -> Any:
        """The handler of a method with its description."""
        takes = self.input
        return endpoint(
            self.summary,
            request=takes(partial=True) if takes is not None and self.partial else takes,
            example=self.example,
            response=self.output,
            status=self.success,
            errors=self.errors,
            if_match=self.if_match,
            idempotency=self.idempotency,
            description=self.description,
            tags=[self.tag],
        )(handler)


class CommandView(ApiView):
    """A view whose ``post``, ``put``, ``patch`` and ``delete`` are Commands; a ``get`` beside
    them is an ordinary one, with its roles in ``roles``."""

    commands: ClassVar[Mapping[str, Command]] = {}

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        for method in _METHODS:
            declared = cls.__dict__.get(method)
            if isinstance(declared, Command):
                cls.commands = {**cls.commands, method.upper(): declared}
                cls.roles = {**cls.roles, method.upper(): declared.roles}
                setattr(cls, method, declared.described(_handler(declared)))

    def known_parameters(self) -> set[str]:
        """A command takes no query parameters."""
        return set() if self.request.method in self.commands else super().known_parameters()

    def arguments(self, request: Request, **ids: Any) -> dict[str, Any]:
        """What ``execute`` is given besides the input and the version: the ids of the path."""
        return ids

    def run(self, request: Request, declared: Command, ids: Mapping[str, Any]) -> HttpResponse:
        """Read the request as declared, run the command and answer."""
        caller, given = self.actor(request), {}
        if declared.input is not None:
            given["command"] = declared.input.read(request.data, partial=declared.partial)
        else:
            StrictSerializer.checked(request.data)  # It takes nothing, so nothing is ignored.
        if declared.if_match is not None:
            header = request.headers.get("If-Match")
            required = declared.if_match == "required"
            given["if_match"] = parse_if_match(header, required=required)
        claim = _claim(request, caller, required=declared.idempotency == "required")
        given |= self.arguments(request, **ids)

        def render(uow: UnitOfWork, done: Any) -> StoredResponse:
            response = stored_response(declared.render(uow, done), declared.success)
            told = told_of(uow, done) | uow.told_of if response.body else frozenset()
            # What was written stands in the log of events; an answer without it is a read.
            self.log_reads(request, told - uow.written, declared.summary)
            return structs.replace(response, client_ids=tuple(sorted(told)), role=caller.role)

        answered = run_command(
            caller,
            request_id_of(request),
            claim,
            lambda uow: declared.execute(uow, **given),
            render,
        )
        if answered.replayed:
            self.log_reads(request, answered.client_ids, f"{declared.summary} (repeat)")
        return http_response(answered)


def told_of(uow: UnitOfWork, done: Any) -> frozenset[UUID]:
    """The clients of whom the answer to a command tells: those of its outcomes; where the
    service gives something else, all that the unit has locked."""
    if isinstance(done, list | tuple) and done:
        return frozenset().union(*(told_of(uow, one) for one in done))
    client_id = getattr(done, "client_id", None)
    return frozenset({client_id}) if isinstance(client_id, UUID) else uow.clients


def _handler(declared: Command) -> Callable[..., HttpResponse]:
    def handle(view: CommandView, request: Request, **ids: Any) -> HttpResponse:
        return view.run(request, declared, ids)

    return handle


def _claim(request: Request, caller: Actor, *, required: bool) -> IdempotencyClaim | None:
    """The caller's key, if one was sent. Raises Rejected 400: required and missing, malformed."""
    key = request.headers.get("Idempotency-Key")
    if key is None:
        if required:
            raise Rejected(
                "idempotency_key_required",
                "Send an Idempotency-Key of your own, so that a repeat does nothing twice.",
                status=400,
                fields={"Idempotency-Key": "Required here, e.g. a UUID."},
            )
        return None
    if not _KEY.match(key):
        raise Rejected(
            "invalid_idempotency_key",
            "An Idempotency-Key has 1 to 200 visible ASCII characters.",
            status=400,
            fields={"Idempotency-Key": "1 to 200 visible ASCII characters, e.g. a UUID."},
        )
    plain = request._request  # noqa: SLF001  DRF's own name for it
    return IdempotencyClaim(
        caller=caller.id,
        key=key,
        method=plain.method or "",
        path=plain.get_full_path(),
        body=plain.body,
    )
