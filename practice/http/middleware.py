"""What every request passes: an id, security headers, a limit of the body, compression,
and whether the caller has the answer already."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from typing import Any, Final

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.http.request import UnreadablePostError
from django.http.response import HttpResponseBase, HttpResponseNotModified
from django.middleware.gzip import GZipMiddleware
from django.utils.cache import patch_vary_headers

from practice.http.etags import gzip_tag, read_tag, tag_held
from practice.http.problem_documents import problem_document
from practice.work.request_cache import caching

Next = Callable[[HttpRequest], HttpResponse]

COMPRESS_FROM: Final = 1024
"""Bytes; a shorter answer goes in one packet either way."""
_KEPT_OF_A_READ: Final = ("Cache-Control", "Content-Location", "Vary")
"""What a 304 repeats of the answer that it stands for (RFC 9110, 15.4.5)."""
_REQUEST_ID: Final = re.compile(r"\A[A-Za-z0-9._-]{8,64}\Z")
_API_POLICY: Final = "default-src 'none'; frame-ancestors 'none'"
_DOCS_POLICY: Final = (
    "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "script-src 'self'; connect-src 'self'; frame-ancestors 'none'"
)


def request_id_of(request: Any) -> str:
    """The id under which this request stands in events and logs."""
    return str(getattr(request, "request_id", "") or uuid.uuid4())


class RequestId:
    """Takes a well-formed X-Request-Id or makes one, and sends it back."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        given = request.headers.get("X-Request-Id", "")
        request_id = given if _REQUEST_ID.match(given) else str(uuid.uuid4())
        request.request_id = request_id  # type: ignore[attr-defined]
        response = self.get_response(request)
        response["X-Request-Id"] = request_id
        return response


class PracticeMemory:
    """Rows of the practice that a request needs more than once are read once."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with caching():
            return self.get_response(request)


class SecurityHeaders:
    """Headers that keep health records out of caches, frames and foreign pages."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        docs = request.path.startswith("/api/v1/docs")
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("X-Frame-Options", "DENY")
        response.headers.setdefault("Referrer-Policy", "no-referrer")
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault(
            "Content-Security-Policy", _DOCS_POLICY if docs else _API_POLICY
        )
        if request.path.startswith("/api/"):
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class BodyLimit:
    """Reads the body once, up to the limit, before anything else touches it."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """One request, or 411, 413 or 400 for its body."""
        limit: int = getattr(settings, "BODY_LIMIT_BYTES", 1_048_576)
        if "chunked" in request.META.get("HTTP_TRANSFER_ENCODING", "").lower():
            return problem_document(
                411, "length_required", "Send Content-Length; a chunked body is not taken."
            )
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit():
            return problem_document(400, "invalid_length", "Content-Length is no whole number.")
        if int(length) > limit:
            return problem_document(
                413, "body_too_large", f"The body may have at most {limit} bytes.", close=True
            )
        try:
            request.body  # noqa: B018  read here, so that the answer to a replay can compare it
        except UnreadablePostError:
            return problem_document(400, "body_cut_off", "The body ended before its length.")
        return self.get_response(request)


class Compression(GZipMiddleware):
    """gzip for longer answers, where the caller takes it.

    Compressing a secret beside text that a stranger chooses gives the secret away by the
    length (BREACH). No answer has both here: there are no cookies and no CSRF tokens, a page of
    another origin cannot send the bearer token, so a stranger cannot make a browser ask; the one
    answer that holds a secret, the token of a sign-in, is too short to be compressed. The
    framework's random padding of the stream stays on beside that.
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> Any:
        """The answer, compressed where that makes it shorter."""
        patch_vary_headers(response, ("Accept-Encoding",))
        short = not response.streaming and len(getattr(response, "content", b"")) < COMPRESS_FROM
        if short or response.get("Content-Type", "") == "image/png":
            return response
        tag = response.get("ETag")
        given = super().process_response(request, response)
        if tag is not None and given.get("Content-Encoding") == "gzip":
            given["ETag"] = gzip_tag(tag)  # The framework makes it weak, and If-Match takes none.
        return given


class ConditionalReads:
    """Puts the tag of what is shown on every read; 304 where the caller has just that.

    It stands behind the views, so that who may not read gets their refusal whatever tag they
    send, and a 304 is logged as the read that it is. What is spared is the body.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        read = request.method in ("GET", "HEAD") and response.status_code == 200
        if not read or response.streaming or not request.path.startswith("/api/"):
            return response
        response["ETag"] = tag = read_tag(response.get("ETag"), response.content)
        held = tag_held(request.headers.get("If-None-Match"), tag)
        if held is None:
            return response
        headers = {name: response[name] for name in _KEPT_OF_A_READ if name in response}
        return HttpResponseNotModified(headers={**headers, "ETag": held})
