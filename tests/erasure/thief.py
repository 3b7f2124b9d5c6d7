"""All that a thief of the database and of the master key can read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from cryptography.hazmat.primitives.ciphers import Cipher
from cryptography.hazmat.primitives.ciphers.algorithms import AES
from cryptography.hazmat.primitives.ciphers.modes import CTR
from django.db import connections

from practice.keys.keystore import master_key
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

NONCE, TAG, KEY = 12, 16, 32


class Cell(NamedTuple):
    """One value of one column of one row, as the database gives it."""

    table: str
    column: str
    value: Any


def cells() -> list[Cell]:
    """Every value of every table of every database, whether a model knows the table or not."""
    return [cell for alias in connections for cell in _cells_of(alias)]


def _cells_of(alias: str) -> Iterator[Cell]:
    connection = connections[alias]
    with connection.cursor() as cursor:
        for table in sorted(connection.introspection.table_names(cursor)):
            quoted = connection.ops.quote_name(table)
            cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608  the database's own name
            names = [one[0] for one in cursor.description]
            for row in cursor.fetchall():
                for name, value in zip(names, row, strict=True):
                    if value is not None:
                        yield Cell(table, name, value)


def data_keys() -> list[bytes]:
    """Every data key that the master key still opens."""
    rows = DataKey.objects.using(keys_alias()).all()
    opened = (opened_with(master_key()[1], bytes(row.wrapped)) for row in rows)
    return [one for one in opened if len(one) == KEY]


def opened_with(key: bytes, sealed: bytes) -> bytes:
    """What AES-GCM sealed, opened without asking what it was bound to: a thief need not know."""
    nonce, inside = sealed[:NONCE], sealed[NONCE:-TAG]
    if len(nonce) < NONCE or not inside:
        return b""
    return Cipher(AES(key), CTR(nonce + b"\x00\x00\x00\x02")).decryptor().update(inside)


def readable(found: Iterable[Cell], keys: Iterable[bytes] = ()) -> Iterator[tuple[Cell, str]]:
    """Each value as text, and what each key makes of those that are sealed."""
    keys = list(keys)
    for cell in found:
        if isinstance(cell.value, bytes | memoryview):
            raw = bytes(cell.value)
            for one in (raw, *(opened_with(key, raw) for key in keys)):
                yield cell, one.decode("latin-1")
        else:
            yield cell, str(cell.value)


def files() -> str:
    """The bytes of the databases' own files, what was deleted and not overwritten included."""
    whole = ""
    for alias in connections:
        name = connections[alias].settings_dict["NAME"]
        for path in (Path(name), Path(f"{name}-wal")):
            if path.is_file():
                whole += path.read_bytes().decode("latin-1")
    return whole
