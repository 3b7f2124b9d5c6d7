"""The nightly digest of all heads, kept in a file outside the database.

A tail cut off together with its head, or a whole stream, leaves no trace inside the database;
against the digest of an earlier night it does. Each digest names the one before it.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings

from practice.core.appspec import ExtensionPoint
from practice.eventstore.envelope import chain_key
from practice.eventstore.models import StreamHead

DIGEST_PARTS = ExtensionPoint[Callable[[], Mapping[str, Any]]]("what a digest also holds")
"""``part()``: what features above keep outside the database every night, by name (JSON)."""

Marks = dict[UUID, dict[int, tuple[str, bytes]]]
"""By stream and version: the name of the digest that holds it, and the mac."""


@dataclass
class Digests:
    """What all digests hold together: marks of events, parts by digest, and what is wrong."""

    marks: Marks = field(default_factory=dict)
    parts: dict[str, Mapping[str, Any]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)


def digest_folder() -> Path:
    """Where the digests lie (``PRACTICE_DIGESTS``)."""
    return Path(settings.PRACTICE_DIGESTS)


def write_digest(folder: Path, day: date) -> Path:
    """Write the heads of a day to ``<folder>/<day>.json``, sealed with the chain's key."""
    heads = {
        str(head.stream): {"version": head.version, "mac": bytes(head.mac).hex()}
        for head in StreamHead.objects.filter(version__gt=0).order_by("stream")
    }
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    path = folder / f"{day.isoformat()}.json"
    parts = {name: value for part in DIGEST_PARTS.answers for name, value in part().items()}
    before = [one for one in sorted(folder.glob("*.json")) if one.name < path.name]
    body = json.dumps(
        {
            "day": day.isoformat(),
            "heads": heads,
            "parts": parts,
            "previous": before[-1].name if before else None,
        },
        sort_keys=True,
    )
    draft = path.with_suffix(".part")
    draft.touch(mode=0o600)
    draft.write_text(json.dumps({"body": body, "encrypt": _seal(body)}))
    draft.replace(path)  # a digest is there whole or not at all
    return path


def read_digests(paths: Sequence[Path]) -> Digests:
    """What some digests hold. One that is damaged, or that a later one names and is not there,
    is a fault; those before the first one may have been taken elsewhere."""
    found = Digests()
    names = {path.name for path in paths}
    for index, path in enumerate(sorted(paths)):
        try:
            stored = json.loads(path.read_text())
            whole = hmac.compare_digest(_seal(stored["body"]), stored["encrypt"])
        except (ValueError, KeyError, TypeError):
            whole = False
        if not whole:
            found.faults.append(f"{path.name}: the digest itself is not as it was written")
            continue
        body = json.loads(stored["body"])
        if index and body["previous"] not in names:
            found.faults.append(f"{body['previous']}: the digest is gone, {path.name} names it")
        found.parts[path.stem] = body["parts"]
        for stream, head in body["heads"].items():
            of_stream = found.marks.setdefault(UUID(stream), {})
            of_stream.setdefault(head["version"], (path.stem, bytes.fromhex(head["mac"])))
    return found


def missing_marks(stream: UUID, marks: Mapping[int, tuple[str, bytes]]) -> list[str]:
    """What is said of events that digests hold and the log does not."""
    return [
        f"{stream}: version {version} of {name} is gone" for version, (name, _) in marks.items()
    ]


def _seal(body: str) -> str:
    return hmac.digest(chain_key()[1], body.encode(), "sha256").hex()
