"""Tries the keys of the environment on what they have sealed before.

The practice's own data key opens only with the practice's master key; in its row lies, sealed
with it, a word made with the chain's key. With other keys, well formed as they may be, the
program would seal new records under them and be unable to read the rest: it does not start.
"""

from __future__ import annotations

import base64
import hmac
import logging
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connections

from practice.keys.keystore import (
    PRACTICE_SUBJECT,
    Key,
    KeyDamagedError,
    SealDamagedError,
    keystore,
    unwrap,
)
from practice.keys.models import DataKey
from practice.keys.router import keys_alias

log = logging.getLogger(__name__)


class WrongKeysError(Exception):
    """The keys of the environment are not those of this practice's database."""


def _word(key: Key) -> bytes:
    chain = base64.b64decode(settings.PRACTICE_CHAIN_KEY)
    return hmac.digest(chain, b"canary" + key.id.bytes, "sha256")


def ensure_practice_key(**_: Any) -> None:
    """The practice's own key, for what belongs to no client, with its canary; made once."""
    keystore.invalidate()
    trial.forget()
    rows = DataKey.objects.using(keys_alias()).filter(subject=PRACTICE_SUBJECT)
    if not rows.exists():
        key = keystore.create(PRACTICE_SUBJECT)
        rows.update(canary=key.encrypt(_word(key), b"canary"))


def keys_fault() -> str | None:
    """What is wrong with the keys of the environment, as a sentence; None where they fit."""
    row = (
        DataKey.objects.using(keys_alias())
        .filter(subject=PRACTICE_SUBJECT)
        .order_by("created_at")
        .first()
    )
    if row is None:
        return "The practice has no data key of its own: run `python3 manage.py migrate`."
    try:
        key = unwrap(row)
    except KeyDamagedError:
        return "PRACTICE_MASTER_KEY is not the key of this database: set the one it was made with."
    try:
        opened = key.decrypt(bytes(row.canary or b""), b"canary")
    except SealDamagedError:
        return "The canary of the practice's data key is not as it was made."
    if not hmac.compare_digest(opened, _word(key)):
        return "PRACTICE_CHAIN_KEY is not the key of this database: set the one it was made with."
    return None


def key_problems() -> list[str]:
    """The same for readiness."""
    return [fault] if (fault := keys_fault()) else []


class Trial:
    """The keys tried once in a process, before the first thing is sealed."""

    def __init__(self) -> None:
        self._passed = False

    def forget(self) -> None:
        """Try them again at the next use."""
        self._passed = False

    def pass_or_refuse(self) -> None:
        """Raises WrongKeysError where the keys of the environment do not fit."""
        if not self._passed:
            if fault := keys_fault():
                raise WrongKeysError(fault)
            self._passed = True


trial = Trial()


def refuse_to_start_with_wrong_keys() -> None:
    """At the start of a process. Raises WrongKeysError; a database that is away or empty is not
    waited for: the keys are tried before the first thing is sealed."""
    try:
        trial.pass_or_refuse()
    except DatabaseError as error:
        log.warning("the keys could not be tried: %s", type(error).__name__)
    finally:
        connections.close_all()
