"""The nightly digest of all heads, kept in a file outside the database.

A tail cut off together with its head leaves no trace inside the database; against
the digest of an earlier night it does.
"""

from __future__ import annotations

import hmac
import json
from datetime import date
from pathlib import Path

from practice.eventstore.envelope import chain_key
from practice.eventstore.models import StoredEvent, StreamHead


def write_digest(folder: Path, day: date) -> Path:
    """Write the heads of a day to ``<folder>/<day>.json``, sealed with the chain's key."""
    heads = {
        str(head.stream): {"version": head.version, "mac": bytes(head.mac).hex()}
        for head in StreamHead.objects.filter(version__gt=0).order_by("stream")
    }
    body = json.dumps({"day": day.isoformat(), "heads": heads}, sort_keys=True)
    encrypt = hmac.digest(chain_key()[1], body.encode(), "sha256").hex()
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{day.isoformat()}.json"
    path.write_text(json.dumps({"body": body, "encrypt": encrypt}))
    return path


def check_digest(path: Path) -> list[str]:
    """What the log has lost or changed since a digest was written, as sentences."""
    stored = json.loads(path.read_text())
    encrypt = hmac.digest(chain_key()[1], stored["body"].encode(), "sha256").hex()
    if not hmac.compare_digest(encrypt, stored["encrypt"]):
        return [f"{path.name}: the digest itself is not as it was written"]
    faults: list[str] = []
    for stream, head in json.loads(stored["body"])["heads"].items():
        row = StoredEvent.objects.filter(stream=stream, version=head["version"]).first()
        if row is None:
            faults.append(f"{stream}: version {head['version']} of {path.stem} is gone")
        elif bytes(row.mac).hex() != head["mac"]:
            faults.append(f"{stream}@{head['version']}: differs from the digest of {path.stem}")
    return faults
