"""What a renderer gives of a resource, and how it becomes the bytes that are sent and kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpResponse
from rest_framework.renderers import JSONRenderer
from rest_framework.serializers import Serializer

from practice.core.reasons import Reason
from practice.http.etags import etag
from practice.work.commands import CommandResponse
from practice.work.idempotency import StoredResponse
from practice.work.unit_of_work import Outcome, UnitOfWork


@dataclass(frozen=True)
class Representation:
    """Data to be sent as JSON; ``version`` becomes the ETag, ``status`` overrides the command's."""

    data: Any
    version: int | None = None
    status: int | None = None
    headers: Mapping[str, str] = field(default_factory=dict)


def with_warnings(
    data: Mapping[str, Any], warnings: Iterable[Reason], version: int
) -> Representation:
    """A resource with its ``warnings``: things to see to, which forbid nothing."""
    shown = [{"code": one.code, "text": one.text, "source": one.source} for one in warnings]
    return Representation({**data, "warnings": shown}, version)


def row_renderer(serializer: type[Serializer[Any]]) -> Callable[[UnitOfWork, Any], Representation]:
    """The renderer of a command that gives a row of the practice's tables, by its revision."""
    return lambda _uow, row: Representation(serializer(row).data, row.revision)


def no_content(_uow: UnitOfWork, outcome: Any) -> Representation:
    """204: only the version of the client's record, where the command was about one."""
    return Representation(None, outcome.version if isinstance(outcome, Outcome) else None)


def stored_response(rendered: Any, status: int) -> StoredResponse:
    """What a renderer gave, plain data or a Representation, as it is sent and kept."""
    shown = rendered if isinstance(rendered, Representation) else Representation(rendered)
    headers = dict(shown.headers)
    if shown.version is not None:
        headers["ETag"] = etag(shown.version)
    code = shown.status or status
    return StoredResponse(code, b"" if code == 204 else JSONRenderer().render(shown.data), headers)


def http_response(given: CommandResponse) -> HttpResponse:
    """The response of a command over HTTP; a replayed one says so."""
    headers = {"Content-Type": "application/json", **given.headers}
    if given.replayed:
        headers["Idempotent-Replayed"] = "true"
    response = HttpResponse(given.body, status=given.status, headers=headers)
    if given.status == 204:
        del response["Content-Type"]
    return response
