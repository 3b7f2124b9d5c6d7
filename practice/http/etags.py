"""Entity tags: the version of a record or the revision of a row, quoted (RFC 9110).

A tag is strong and opaque to the caller: ``ETag: "12"``.
"""

from __future__ import annotations

import re
from typing import Final

from practice.core.reasons import Rejected

_TAG: Final = re.compile(r'\A"(0|[1-9][0-9]{0,17})"\Z')


def etag(version: int) -> str:
    """The entity tag of a version."""
    return f'"{version}"'


def parse_if_match(header: str | None, *, required: bool = False) -> int | None:
    """The version that If-Match asks for; None where the header is missing or ``*``.

    Raises Rejected: 428 where it is required and missing, 400 where it is no tag
    that this API gives.
    """
    if header is None:
        if required:
            raise Rejected(
                "version_required",
                'Send If-Match with the version you have read, as in If-Match: "3".',
                status=428,
            )
        return None
    if header.strip() == "*" and not required:
        return None
    found = _TAG.match(header.strip())
    if found is None:
        raise Rejected(
            "invalid_if_match",
            'If-Match takes one strong entity tag of this resource, as in If-Match: "3".',
            status=400,
        )
    return int(found.group(1))
