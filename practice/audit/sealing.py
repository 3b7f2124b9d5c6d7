"""The log of reads and the history of changes, sealed in batches.

Each tick seals what has come since, but for the last minutes: a row whose transaction is not
committed yet may still come in before rows that are there. A seal is an HMAC under the chain's
key over every column of its rows and over the seal before it; the nightly digest keeps the
newest seals outside the database.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from django.db import models, transaction

from practice.accesslog.models import AccessEntry
from practice.audit.models import BatchSeal
from practice.clock import clock
from practice.eventstore.envelope import chain_key
from practice.policy.models import SettingChange

SEALED: Final[tuple[type[models.Model], ...]] = (AccessEntry, SettingChange)
LAG: Final = timedelta(minutes=15)
"""Longer than any transaction lasts (statements and idle ones end after half a minute each)."""
LARGEST: Final = 20_000
"""Rows of one seal; a tick makes as many seals as it takes."""
PARTS: Final = "seals"
"""Under which name a digest holds the newest seals."""


def seal_new_rows() -> int:
    """Seal what has come since the last seals. Returns how many rows."""
    done = 0
    for model in SEALED:
        while sealed := _seal_batch(model):
            done += sealed
            if sealed < LARGEST:
                break
    return done


def _seal_batch(model: type[models.Model]) -> int:
    with transaction.atomic():
        seals = BatchSeal.objects.filter(table=model._meta.label).order_by("-number")
        last = seals.first()
        new = model._default_manager.filter(pk__gt=last.last_id if last else 0).order_by("pk")
        young = new.filter(occurred_at__gt=clock.now() - LAG).values_list("pk", flat=True).first()
        ripe = new if young is None else new.filter(pk__lt=young)
        ids = list(ripe.values_list("pk", flat=True)[:LARGEST])
        if not ids:
            return 0
        seal = BatchSeal(
            table=model._meta.label,
            number=last.number + 1 if last else 1,
            last_id=ids[-1],
            sealed_at=clock.now(),
        )
        digest, seal.rows = _digest(model, after=last.last_id if last else 0, until=seal.last_id)
        seal.mac = _mac(seal, bytes(last.mac) if last else b"", digest)
        seal.save(force_insert=True)
        return len(ids)


def newest_seals() -> Mapping[str, Any]:
    """The newest seal of each table, as the nightly digest keeps it."""
    found: dict[str, Any] = {}
    for seal in BatchSeal.objects.order_by("number"):
        found[seal.table] = {"number": seal.number, "mac": bytes(seal.mac).hex()}
    return {PARTS: found}


def seal_faults(in_digests: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    """Every seal that does not fit its rows or is missing, as sentences.

    ``in_digests``: by the name of a digest, the newest seals that it holds.
    """
    for model in SEALED:
        table = model._meta.label
        after, before, number = 0, b"", 0
        macs: dict[int, str] = {}
        for seal in BatchSeal.objects.filter(table=table).order_by("number"):
            number += 1
            digest, count = _digest(model, after=after, until=seal.last_id)
            right = _mac(seal, before, digest)
            if seal.number != number:
                yield f"{table}: seal {number} is missing"
                number = seal.number
            elif count != seal.rows:
                yield f"{table}: seal {number} is over {seal.rows} rows, {count} are there"
            elif not hmac.compare_digest(right, bytes(seal.mac)):
                yield f"{table}: rows up to {seal.last_id} are not as they were sealed ({number})"
            after, before = seal.last_id, bytes(seal.mac)
            macs[seal.number] = before.hex()
        for name, kept in in_digests.items():
            if table in kept and macs.get(kept[table]["number"]) != kept[table]["mac"]:
                yield f"{table}: seal {kept[table]['number']} of the digest {name} is gone"


def _digest(model: type[models.Model], *, after: int, until: int) -> tuple[bytes, int]:
    """A digest of all columns of the rows in a span of ids, and how many they are."""
    names = [one.attname for one in model._meta.concrete_fields]
    rows = model._default_manager.filter(pk__gt=after, pk__lte=until).order_by("pk")
    running, count = hashlib.sha256(), 0
    for values in rows.values_list(*names).iterator(chunk_size=2_000):
        body = json.dumps([_plain(one) for one in values], sort_keys=True).encode()
        running.update(b"%d:" % len(body) + body)
        count += 1
    return running.digest(), count


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, bytes | memoryview):
        return bytes(value).hex()
    return value if isinstance(value, dict | list | int | float | None) else str(value)


def _mac(seal: BatchSeal, before: bytes, digest: bytes) -> bytes:
    head = json.dumps([seal.table, seal.number, seal.last_id, seal.rows, _plain(seal.sealed_at)])
    return hmac.digest(chain_key()[1], before + b"|" + head.encode() + b"|" + digest, "sha256")
