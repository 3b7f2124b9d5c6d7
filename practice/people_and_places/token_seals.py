"""A seal for each access token: one that the program did not issue opens nothing."""

from __future__ import annotations

import hmac
from collections.abc import Iterator
from datetime import UTC, datetime

from practice.eventstore.envelope import chain_key
from practice.people_and_places.models.staff import AccessToken


def token_seal(row: AccessToken) -> bytes:
    """An HMAC under the chain's key over whose token it is and until when it lives."""
    times = (row.created_at, row.expires_at, row.revoked_at)
    parts = (row.digest, str(row.id), str(row.staff_id), row.label, *map(_moment, times))
    return hmac.digest(chain_key()[1], "\0".join(("token", *parts)).encode(), "sha256")


def seal_token(row: AccessToken) -> AccessToken:
    """The token with its seal, to be saved."""
    row.seal = token_seal(row)
    return row


def token_is_whole(row: AccessToken) -> bool:
    """Whether a token stands as the program wrote it."""
    return hmac.compare_digest(bytes(row.seal), token_seal(row))


def token_faults() -> Iterator[str]:
    """Tokens that were put in or changed, as sentences."""
    for row in AccessToken.objects.iterator():
        if not token_is_whole(row):
            yield f"access token {row.id}: it is not as it was issued"


def _moment(at: datetime | None) -> str:
    return "" if at is None else at.astimezone(UTC).isoformat()
