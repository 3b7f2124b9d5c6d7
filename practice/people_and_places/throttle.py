"""How often signing in may be tried: a growing pause, never a lock.

Tries are counted by account at an address, by account, and by address. After the free ones the
next must wait a second, then two, four, up to the longest pause. A try is counted before the
password is looked at, so that many at once are many. Whoever came in from an address before
waits there only for tries made there: nobody elsewhere can keep them out. A try during a pause
is refused unlooked at and prolongs nothing.
"""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from typing import Any, Final

import msgspec
from django.conf import settings
from django.db import connection, transaction

from practice.core.reasons import Rejected
from practice.eventstore.envelope import chain_key
from practice.people_and_places.models.sign_ins import SignInTry

FREE: Final = {"pair": 1, "account": 2, "address": 4}
"""By what is counted, how many times the free tries: one address may be a whole practice's."""
MOST_ROWS: Final = 20_000
DROPPED: Final = 1_000
"""Rows that go at once, those not used for longest, when the table is full."""


class AccessSettings(msgspec.Struct, frozen=True):
    """Group ``access``: how long a token lives, and how often signing in may be tried."""

    token_hours: int
    sign_in_free_tries: int
    sign_in_longest_pause_seconds: int
    sign_in_forget_minutes: int
    sign_in_known_days: int


@dataclass(frozen=True)
class Admission:
    """A try that may be made; what stood before it, to be put back if it succeeds."""

    pair: SignInTry
    counted: tuple[tuple[SignInTry, datetime | None], ...]


def pause_after(failures: int, free: int, longest: int) -> timedelta:
    """How long the next try waits after so many failed ones: 0, then 1, 2, 4, … seconds."""
    if failures < free:
        return timedelta(0)
    return timedelta(seconds=min(longest, 2 ** min(failures - free, 30)))


def admit(username: str, address: str, access: AccessSettings, now: datetime) -> Admission:
    """Count one try, or refuse it. Raises Rejected 429 with how long to wait."""
    names = {
        "pair": f"{username}\0{address}",
        "account": username,
        "address": address,
    }
    with transaction.atomic():
        rows = {kind: _locked(_key(kind, name), now) for kind, name in names.items()}
        known = rows["pair"].succeeded_at is not None and (
            now - rows["pair"].succeeded_at <= timedelta(days=access.sign_in_known_days)
        )
        judged = {"pair": rows["pair"]} if known else rows
        _refuse_in_a_pause(judged, now)
        counted = []
        for kind, row in judged.items():
            if now - row.last_at > timedelta(minutes=access.sign_in_forget_minutes):
                row.failures = 0
            counted.append((row, row.blocked_until))
            row.failures += 1
            free = FREE[kind] * access.sign_in_free_tries
            pause = pause_after(row.failures, free, access.sign_in_longest_pause_seconds)
            row.blocked_until = now + pause if pause else None
            row.last_at = now
            row.save()
    return Admission(rows["pair"], tuple(counted))


def succeeded(admission: Admission, now: datetime) -> None:
    """The try was the right person's: it is not counted, and the address is known from now on."""
    for row, before in admission.counted:
        if row.key == admission.pair.key:
            row.failures, row.blocked_until, row.succeeded_at = 0, None, now
        else:
            row.failures, row.blocked_until = max(0, row.failures - 1), before
        row.save()


def _refuse_in_a_pause(judged: Mapping[str, SignInTry], now: datetime) -> None:
    until = max((row.blocked_until for row in judged.values() if row.blocked_until), default=now)
    if until > now:
        seconds = ceil((until - now).total_seconds())
        raise Rejected(
            "too_many_tries",
            f"Too many tries to sign in failed. Try again in {seconds} seconds.",
            status=429,
            extra={"retry_after_seconds": seconds},
        )


def _key(kind: str, name: str) -> str:
    return hmac.digest(chain_key()[1], f"{kind}\0{name}".encode(), "sha256").hex()


def _locked(key: str, now: datetime) -> SignInTry:
    rows = SignInTry.objects.filter(pk=key)
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    found = rows.first()
    if found is None:
        _make_room()
        SignInTry.objects.get_or_create(pk=key, defaults={"last_at": now})
        found = rows.get()
    return found


def _make_room() -> None:
    """Keep the table bounded. Known addresses go last: guessing cannot push them out."""
    if SignInTry.objects.count() < MOST_ROWS:
        return
    oldest = SignInTry.objects.order_by("succeeded_at", "last_at")
    guesses = oldest.filter(succeeded_at=None) or oldest
    keys = list(guesses.values_list("pk", flat=True)[:DROPPED])
    SignInTry.objects.filter(pk__in=keys).delete()


def address_of(meta: Mapping[str, Any]) -> str:
    """The address that a request came from: behind the production's proxy the one that the proxy
    itself has added last. Of an IPv6 address the network (/64), which is one household's."""
    forwarded = str(meta.get("HTTP_X_FORWARDED_FOR", "")) if settings.PRODUCTION else ""
    text = forwarded.rpartition(",")[2].strip() or str(meta.get("REMOTE_ADDR", ""))
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return ""
    if isinstance(address, ipaddress.IPv6Address):
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)
