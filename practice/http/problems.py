"""Everything that is raised below a view becomes a problem document (RFC 9457)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil
from typing import Any, Final

from django.core.exceptions import PermissionDenied
from django.http import Http404
from drf_spectacular.utils import OpenApiResponse
from rest_framework import exceptions, serializers
from rest_framework.response import Response

from practice.core.reasons import Rejected, readable_by
from practice.core.terms import Role
from practice.http.callers import authenticated_caller
from practice.http.problem_documents import CONTENT_TYPE, problem
from practice.http.refusal_log import log_refused_request
from practice.http.serializers import RecordSerializer
from practice.http.unavailable import LOCK_RETRY_SECONDS, unavailability_of

_CODES: Final[dict[type[exceptions.APIException], str]] = {
    exceptions.ParseError: "malformed_json",
    exceptions.NotAuthenticated: "not_signed_in",
    exceptions.AuthenticationFailed: "not_signed_in",
    exceptions.PermissionDenied: "forbidden",
    exceptions.NotFound: "not_found",
    exceptions.MethodNotAllowed: "method_not_allowed",
    exceptions.NotAcceptable: "not_acceptable",
    exceptions.UnsupportedMediaType: "unsupported_media_type",
    exceptions.Throttled: "too_many_requests",
}


def exception_handler(exc: Exception, context: Mapping[str, Any]) -> Response | None:
    """The REST framework's hook. None lets the error go on to handler500."""
    if isinstance(exc, Http404):
        exc = exceptions.NotFound("There is nothing with this id.")
    elif isinstance(exc, PermissionDenied):
        exc = exceptions.PermissionDenied()
    request = context.get("request")
    if isinstance(exc, Rejected):
        response = _of_rejected(exc, _role(request))
    elif isinstance(exc, exceptions.ValidationError):
        response = _answer(
            400,
            "invalid",
            "Some of the input cannot be taken.",
            errors=[{"field": f or "body", "detail": d} for f, d in flattened(exc.detail)],
        )
    elif isinstance(exc, exceptions.APIException):
        response = _of_api_exception(exc)
    else:
        found = unavailability_of(exc)
        if found is None:
            return None
        retry = {"Retry-After": str(found.retry_seconds)}
        return _answer(503, found.code, found.detail, retry)
    code = str(response.data["code"]) if response.data else ""
    log_refused_request(exc, response.status_code, code, request, context)
    return response


def flattened(detail: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """The leaves of the framework's nested errors as (dotted field, sentence)."""
    if isinstance(detail, Mapping):
        for key, value in detail.items():
            name = "" if key == "non_field_errors" else str(key)
            yield from flattened(value, ".".join(part for part in (path, name) if part))
    elif isinstance(detail, list | tuple):
        for index, value in enumerate(detail):
            nested = isinstance(value, Mapping | list | tuple)
            yield from flattened(value, f"{path}.{index}" if nested and path else path)
    else:
        yield path, str(detail)


def _role(request: Any) -> Role | None:
    role = getattr(authenticated_caller(request), "role", None)
    return Role(role) if role else None


def _answer(
    status: int, code: str, detail: str, headers: dict[str, str] | None = None, **members: Any
) -> Response:
    return Response(
        problem(status, code, detail, **members),
        status=status,
        headers=headers,
        content_type=CONTENT_TYPE,
    )


def _of_rejected(exc: Rejected, role: Role | None) -> Response:
    shown = readable_by(role, exc.reasons) if role else []
    reasons = [{"code": r.code, "text": r.text, "source": r.source} for r in shown]
    errors = [{"field": field, "detail": text} for field, text in exc.fields.items()]
    headers = {"Retry-After": str(LOCK_RETRY_SECONDS)} if exc.status == 503 else None
    if isinstance(wait := exc.extra.get("retry_after_seconds"), int):
        headers = {"Retry-After": str(wait)}
    if exc.status == 412 and isinstance(exc.extra.get("current_version"), int):
        headers = {"ETag": f'"{exc.extra["current_version"]}"'}
    return _answer(
        exc.status, exc.code, exc.detail, headers, errors=errors, reasons=reasons, extra=exc.extra
    )


def _of_api_exception(exc: exceptions.APIException) -> Response:
    headers: dict[str, str] = {}
    if challenge := getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if (wait := getattr(exc, "wait", None)) is not None:
        headers["Retry-After"] = str(ceil(wait))
    code = next((c for kind, c in _CODES.items() if isinstance(exc, kind)), "error")
    if isinstance(exc, exceptions.NotAcceptable) and exc.available_renderers:
        kinds = sorted({one.media_type for one in exc.available_renderers})
        detail = f"What Accept asks for is not given here: ask for {' or '.join(kinds)}."
        return _answer(exc.status_code, code, detail, headers, extra={"media_types": kinds})
    return _answer(exc.status_code, code, str(exc.detail), headers)


class ProblemErrorSerializer(RecordSerializer):
    """One field that cannot be taken."""

    field = serializers.CharField(help_text="Dotted path of the field, e.g. `consent.until`.")
    detail = serializers.CharField(help_text="What is wrong and what would be right.")


class ReasonSerializer(RecordSerializer):
    """One rule that stands against it."""

    code = serializers.CharField(help_text="Stable code, e.g. `consent_withdrawn`.")
    text = serializers.CharField(help_text="The reason as a sentence.")
    source = serializers.CharField(  # type: ignore[assignment]  # shadows a field's own
        help_text="Where the rule comes from."
    )


class ProblemSerializer(RecordSerializer):
    """A problem document (RFC 9457). Members beyond these depend on the code."""

    type = serializers.CharField(help_text="Always `about:blank`; see `code`.")
    title = serializers.CharField(help_text="Phrase of the HTTP status, e.g. `Conflict`.")
    status = serializers.IntegerField(help_text="HTTP status, e.g. 409.")
    detail = serializers.CharField(help_text="What happened and what to do.")
    code = serializers.CharField(help_text="Stable code, e.g. `stale_version`.")
    errors = ProblemErrorSerializer(  # type: ignore[assignment]  # shadows a serializer's own
        many=True, required=False, help_text="Fields that cannot be taken."
    )
    reasons = ReasonSerializer(many=True, required=False, help_text="Rules that stand against it.")


_MEANING: Final[dict[int, str]] = {
    400: "Input that cannot be taken: the fields and what would be right.",
    401: "Not signed in, or the token has expired or been revoked.",
    403: "Not open to this role.",
    404: "Nothing with this id that the caller may know of.",
    406: "What `Accept` asks for is not given here; `media_types` names what is.",
    409: "Refused by a rule, with its reasons and their sources.",
    410: "The record was erased.",
    412: "Changed since it was read; the current version is given.",
    413: "The body is too large.",
    415: "Send application/json.",
    422: "The Idempotency-Key was used with another request.",
    429: "Too many tries; Retry-After says when to try again.",
    428: "If-Match is required here.",
    503: "Not now: a lock was not had in time, or the database is away. Retry-After says when.",
}


def problems(*statuses: int) -> dict[tuple[int, str], OpenApiResponse]:
    """Problem responses for ``extend_schema``: ``responses={200: X, **problems(404, 409)}``.

    400, 401, 403, 406, 413 and 503 may come from every endpoint and are always among them.
    """
    every = sorted({400, 401, 403, 406, 413, 503, *statuses})
    return {
        (status, CONTENT_TYPE): OpenApiResponse(ProblemSerializer, _MEANING.get(status, ""))
        for status in every
    }
