"""Cursor pages over a total order; cursors are opaque.

A cursor holds the order's values of the last row shown. These may be names, and
query strings end up in logs, so it is encrypted (Fernet: AES-128-CBC with HMAC)
under a key derived from SECRET_KEY. It fits only the same list with the same
filters: anything else is 400.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Sequence
from functools import lru_cache
from hashlib import sha256
from typing import Any, Final

from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response

from practice.core.reasons import Rejected, invalid
from practice.work.keyset import after

DEFAULT_PAGE: Final = 50
LARGEST_PAGE: Final = 200
# A Fernet token begins with its version, 0x80, and the first bytes of a time.
_LOOKS_LIKE_A_CURSOR: Final = re.compile(r"gAAAAA[A-Za-z0-9_-]{80,4000}")


@lru_cache(maxsize=4)
def _cipher(secret: str) -> Fernet:
    key = sha256(b"cursor pages\0" + secret.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(key))


def _value(row: Any, path: str) -> Any:
    for name in path.split("__"):
        row = row[name] if isinstance(row, dict) else getattr(row, name)
    return row


@extend_schema_field({"type": "string"})
class CursorField(serializers.CharField):
    """A cursor among the fields of a query form: what looks like none is refused."""

    def to_internal_value(self, data: Any) -> Any:
        """The cursor as sent; what it holds is read by ``CursorPages.place``."""
        text = super().to_internal_value(data)
        if not _LOOKS_LIKE_A_CURSOR.fullmatch(text):
            raise serializers.ValidationError("Send next_cursor of the page before.")
        return text


class CursorPages(BasePagination):
    """``{"results": [...], "next_cursor": "..." or null}``.

    The view's ``order`` names columns that are never null and ends in a unique one.
    """

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        """The rows of one page; the next cursor is kept for the answer."""
        order: tuple[str, ...] = view.order
        size = self.size(request)
        rows = queryset.order_by(*order)
        try:
            if (place := self.place(request, view)) is not None:
                rows = self.beyond(rows, order, place)
            found = list(rows[: size + 1])
        except (ValidationError, ValueError):
            raise self._refused() from None
        self.next_cursor = None
        if len(found) > size:
            found = found[:size]
            values = [_value(found[-1], c.lstrip("-")) for c in order]
            self.next_cursor = self.cursor(request, view, values)
        return found

    def place(self, request: Request, view: Any) -> list[Any] | None:
        """The values of ``view.order`` from which a page goes on; None for the first page."""
        cursor = request.query_params.get("cursor")
        if not cursor:
            return None
        return self._decrypt(cursor, self._stamp(request, view), len(view.order))

    def cursor(self, request: Request, view: Any, values: Sequence[Any]) -> str:
        """The cursor of a page that goes on from some values of ``view.order``."""
        return self._encrypt(values, self._stamp(request, view))

    def beyond(self, rows: Any, order: Sequence[str], values: Sequence[Any]) -> Any:
        """The rows that come after the last one of a page, by its values of the order."""
        return rows.filter(after(order, values))

    def get_paginated_response(self, data: Any) -> Response:
        """One page as it is sent."""
        return Response({"results": data, "next_cursor": self.next_cursor})

    def names(self) -> set[str]:
        """The query parameters of paging."""
        return {"cursor", "page_size"}

    def size(self, request: Request) -> int:
        """How many rows a page has. Raises Rejected 400."""
        text = request.query_params.get("page_size")
        if text is None:
            return DEFAULT_PAGE
        if not (text.isascii() and text.isdigit() and len(text) < 5):
            raise invalid("page_size", f"Give a whole number from 1 to {LARGEST_PAGE}.")
        if not 1 <= int(text) <= LARGEST_PAGE:
            raise invalid("page_size", f"Give a whole number from 1 to {LARGEST_PAGE}.")
        return int(text)

    def _stamp(self, request: Request, view: Any) -> str:
        """What a cursor belongs to: the path, the order, the filters and what a body searched."""
        filters = sorted(
            (name, value)
            for name, value in request.query_params.items()
            if name not in self.names()
        )
        searched = request.data if request.method == "POST" else None
        whole = json.dumps([request.path, list(view.order), filters, searched], sort_keys=True)
        return sha256(whole.encode("utf-8", "surrogatepass")).hexdigest()[:16]

    def _encrypt(self, values: Sequence[Any], stamp: str) -> str:
        plain = json.dumps([stamp, list(values)], cls=ExactEncoder)
        return _cipher(settings.SECRET_KEY).encrypt(plain.encode()).decode().rstrip("=")

    def _decrypt(self, cursor: str, stamp: str, width: int) -> list[Any]:
        padded = cursor + "=" * (-len(cursor) % 4)
        try:
            plain = _cipher(settings.SECRET_KEY).decrypt(padded.encode("utf-8", "replace"))
        except (InvalidToken, ValueError):
            raise self._refused() from None
        belongs, values = json.loads(plain)
        if belongs != stamp or len(values) != width:
            raise self._refused()
        return list(values)

    @staticmethod
    def _refused() -> Rejected:
        return Rejected(
            "invalid_cursor",
            "This cursor belongs to another list, other filters, or none. "
            "Begin again without a cursor.",
            status=400,
            fields={"cursor": "Send next_cursor of the page before, with the same filters."},
        )

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """One page in the OpenAPI description."""
        return {
            "type": "object",
            "required": ["results", "next_cursor"],
            "properties": {
                "results": schema,
                "next_cursor": {
                    "type": ["string", "null"],
                    "description": "Send as `cursor` for the next page; null on the last one.",
                },
            },
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """The parameters of paging in the OpenAPI description."""
        return [
            {
                "name": "cursor",
                "in": "query",
                "required": False,
                "description": "`next_cursor` of the page before, with the same filters.",
                "schema": {"type": "string"},
            },
            {
                "name": "page_size",
                "in": "query",
                "required": False,
                "description": "Rows in a page, e.g. 50.",
                "schema": {
                    "type": "integer",
                    "minimum": 1,
                    "maximum": LARGEST_PAGE,
                    "default": DEFAULT_PAGE,
                },
            },
        ]


class ExactEncoder(DjangoJSONEncoder):
    """Keeps microseconds, which Django's own encoder cuts to milliseconds."""

    def default(self, o: Any) -> Any:
        """Dates and times in ISO 8601 as they are; the rest as Django does."""
        return o.isoformat() if hasattr(o, "isoformat") else super().default(o)
