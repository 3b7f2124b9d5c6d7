"""Problem documents (RFC 9457): building one and its JSON.

``type`` is about:blank and ``title`` the phrase of the HTTP status; what the
program acts on is the stable ``code``. ``errors`` name a field each, ``reasons``
a rule each with its source.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any, Final

from django.core.serializers.json import DjangoJSONEncoder
from django.http import HttpRequest, HttpResponse

from practice.http.unavailable import unavailability_of

CONTENT_TYPE: Final = "application/problem+json"


def problem(
    status: int,
    code: str,
    detail: str,
    *,
    errors: Sequence[Mapping[str, str]] = (),
    reasons: Sequence[Mapping[str, Any]] = (),
    extra: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The members of a problem document; empty lists are left out."""
    try:
        title = HTTPStatus(status).phrase
    except ValueError:
        title = "Error"
    members: dict[str, Any] = {
        "type": "about:blank",
        "title": title,
        "status": status,
        "detail": detail,
        "code": code,
    }
    if errors:
        members["errors"] = [dict(error) for error in errors]
    if reasons:
        members["reasons"] = [dict(reason) for reason in reasons]
    for name, value in (extra or {}).items():
        members.setdefault(name, value)
    return members


def problem_document(
    status: int, code: str, detail: str, *, close: bool = False, **members: Any
) -> HttpResponse:
    """A problem document as an answer outside the REST framework."""
    body = json.dumps(problem(status, code, detail, **members), cls=DjangoJSONEncoder)
    response = HttpResponse(body, status=status, content_type=CONTENT_TYPE)
    if close:
        response["Connection"] = "close"
    return response


def not_found_view(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """handler404: no such path."""
    return problem_document(404, "not_found", "There is nothing at this address.")


def server_error_view(request: HttpRequest) -> HttpResponse:
    """handler500: says nothing of the cause; the request id leads to the log.

    What is only unavailable is a 503 here too: it may fail outside the REST framework.
    """
    raised = sys.exc_info()[1]
    if raised is not None and (found := unavailability_of(raised)) is not None:
        response = problem_document(503, found.code, found.detail)
        response["Retry-After"] = str(found.retry_seconds)
        return response
    return problem_document(
        500,
        "server_error",
        "Something failed here; nothing was written. Give the request id when you report it.",
        extra={"request_id": getattr(request, "request_id", "")},
    )


def bad_request_view(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """handler400: a request that the server cannot read."""
    return problem_document(400, "bad_request", "The request cannot be read.")


def forbidden_view(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """handler403: outside the API's own rules."""
    return problem_document(403, "forbidden", "This is not open to you.")
