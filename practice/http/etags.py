"""Entity tags: the version of a record or the revision of a row, quoted (RFC 9110).

A tag is strong and opaque to the caller. A command answers ``"12"``; a read answers
``"12-8d3f…"``, with a digest of what was shown, since what is shown depends on more than the
version: the caller's role, the day, settings. One that has no version is ``"r-8d3f…"``; a
compressed answer has ``-gzip`` behind it (RFC 9110, 8.8.3.3). ``If-Match`` looks at the version
in front alone, ``If-None-Match`` at the whole.
"""

from __future__ import annotations

import re
from hashlib import sha256
from typing import Final

from practice.core.reasons import Rejected

GZIP: Final = "-gzip"
_TAG: Final = re.compile(r'\A"(0|[1-9][0-9]{0,17})(?:-[0-9a-f]{16})?(?:-gzip)?"\Z')
_LISTED: Final = re.compile(r'(?:W/)?("[\x21\x23-\x7e]*")')


def etag(version: int) -> str:
    """The entity tag of a version."""
    return f'"{version}"'


def read_tag(versioned: str | None, shown: bytes) -> str:
    """The tag of what a read shows: the version's tag, if it has one, and a digest.

    A tag that is no version names what is shown already and stays.
    """
    front = versioned.strip('"') if versioned else "r"
    if versioned and not front.isdecimal():
        return versioned
    return f'"{front}-{sha256(shown).hexdigest()[:16]}"'


def gzip_tag(tag: str) -> str:
    """The tag of the same answer compressed."""
    return f'{tag[:-1]}{GZIP}"'


def tag_held(header: str | None, tag: str) -> str | None:
    """The tag among those of ``If-None-Match`` that is this one, compressed or not, as it was
    sent; None where the caller has another state or none. ``*`` is any state."""
    if header is None:
        return None
    if header.strip() == "*":
        return tag
    return next((one for one in _LISTED.findall(header) if one in (tag, gzip_tag(tag))), None)


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
