"""Which refused requests are kept in the log of reads and refusals, and whom they were about."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import Error

from practice.accesslog.owners import client_of
from practice.core.reasons import Rejected
from practice.http.callers import authenticated_caller
from practice.http.middleware import request_id_of

log = logging.getLogger("practice.http")


def log_refused_request(
    exc: Exception, status: int, code: str, request: Any, context: Mapping[str, Any]
) -> None:
    """Keep a refused attempt, outside the transaction that was rolled back."""
    from practice.accesslog.services import log_refusal

    actor_id = getattr(authenticated_caller(request), "pk", None)
    address: dict[str, Any] = context.get("kwargs") or {}
    if actor_id is None or not _is_refusal(exc, status, "client_id" in address):
        return
    try:
        log_refusal(
            actor_id,
            request.method,
            request.path,
            code,
            request_id_of(request),
            client_id=_client_of(address, request),
        )
    except Error as error:
        # The answer stays the refusal; that it could not be kept must not turn it into a 500.
        log.error("a refusal could not be kept: %s", type(error).__name__)


def _is_refusal(exc: Exception, status: int, of_client: bool) -> bool:
    """Whether access was refused (403, 404), or a rule on a client's record refused (409).

    A conflict that is nobody's access (a name taken, a slot gone) is none: it neither
    stands below a client's address nor gives the reasons of a rule.
    """
    if status == 403:
        return True
    if not isinstance(exc, Rejected):
        return False
    return status == 404 or (status == 409 and (of_client or bool(exc.reasons)))


def _client_of(address: Mapping[str, Any], request: Any) -> UUID | None:
    """The client whom a refused request was about: by its address, what a layer above knows
    of another id in it, or a ``client_id`` in the body."""
    if "client_id" in address:
        named = address["client_id"]
        return named if isinstance(named, UUID) else None
    for name, value in address.items():
        if found := client_of(name, value):
            return found
    sent = getattr(request, "_full_data", None)  # what was parsed; never parsed here
    try:
        return UUID(str(sent["client_id"])) if isinstance(sent, Mapping) else None
    except (KeyError, ValueError):
        return None
