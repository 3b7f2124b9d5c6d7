"""Golden payloads: one stored example of every version of every event, kept for ever.

``python -m tests.golden`` (with DJANGO_SETTINGS_MODULE=practice.settings) writes the
examples that are missing and adds them to the manifest. It never changes one that is
there: a payload that no longer reads needs a new version and an upcaster instead.
"""

from __future__ import annotations

import hashlib
import json
import types
import typing
from datetime import UTC, date, datetime, time
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import Any
from uuid import UUID

import msgspec

from practice.core.events import EventType, registry

FOLDER = Path(__file__).resolve().parent.parent / "fixtures" / "events"
MANIFEST = FOLDER / "manifest.json"

PLAIN: dict[Any, Any] = {
    UUID: UUID(int=42),
    str: "as written",
    int: 3,
    float: 2.5,
    bool: True,
    date: date(2026, 3, 2),
    time: time(9, 30),
    datetime: datetime(2026, 3, 2, 15, 0, tzinfo=UTC),
    Decimal: Decimal("1.50"),
    Any: "anything",
    object: "anything",
}


def sample(wanted: Any) -> Any:
    """A value of a type, always the same one; optional fields are filled."""
    origin, arguments = typing.get_origin(wanted), typing.get_args(wanted)
    if wanted in PLAIN:
        return PLAIN[wanted]
    if origin in (typing.Union, types.UnionType):
        return sample(next(one for one in arguments if one is not type(None)))
    if origin is typing.Literal:
        return arguments[0]
    if origin is typing.Annotated:
        return sample(arguments[0])
    if origin in (list, tuple, set, frozenset):
        return origin([sample(arguments[0])])
    if origin is dict:
        return {sample(arguments[0]): sample(arguments[1])}
    if isinstance(wanted, type) and issubclass(wanted, Enum):
        return next(iter(wanted))
    if isinstance(wanted, type) and issubclass(wanted, msgspec.Struct):
        hints = typing.get_type_hints(wanted, include_extras=True)
        return wanted(**{name: sample(hints[name]) for name in wanted.__struct_fields__})
    raise TypeError(f"no example for {wanted}")


def path_of(known: EventType) -> Path:
    """Where the example of an event's newest version lies."""
    return FOLDER / f"{known.name}.v{known.version}.json"


def digest_of(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def write_missing() -> list[Path]:
    """Write the examples that are missing; returns them."""
    FOLDER.mkdir(exist_ok=True)
    written: list[Path] = []
    for known in registry.by_name.values():
        path = path_of(known)
        if not path.exists():
            payload = json.loads(registry.encode(sample(known.cls)))
            path.write_text(json.dumps(payload, indent=1, ensure_ascii=False) + "\n")
            written.append(path)
    manifest = json.loads(MANIFEST.read_text()) if MANIFEST.exists() else {}
    manifest.update({path.name: digest_of(path) for path in written})
    MANIFEST.write_text(json.dumps(manifest, indent=1, sort_keys=True) + "\n")
    return written


if __name__ == "__main__":
    import django

    django.setup()
    for fresh in write_missing():
        print(f"wrote {fresh.name}")
