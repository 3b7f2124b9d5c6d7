"""For tests of what processes keep of the practice's rows."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, time, timedelta
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final
from uuid import UUID

import msgspec

from practice.work import request_cache
from practice.work.request_cache import caching


@contextmanager
def another_process() -> Iterator[None]:
    """What is done in the block is done by a process that keeps what it reads for itself."""
    ours, request_cache._kept = request_cache._kept, {}
    try:
        with caching():
            yield
    finally:
        request_cache._kept = ours


PLAIN: Final = (type(None), str, bytes, int, float, Decimal, date, time, timedelta, UUID, type)
"""Enumerations are ``str``; instants are dates."""


def changeable(value: Any, where: str = "") -> Iterator[str]:
    """Where in a value something could be changed by whoever gets it, as paths."""
    if isinstance(value, PLAIN):
        return
    if isinstance(value, tuple | frozenset):
        for number, one in enumerate(value):
            yield from changeable(one, f"{where}[{number}]")
    elif isinstance(value, MappingProxyType):
        for key, one in value.items():
            yield from changeable(key, f"{where} key {key}")
            yield from changeable(one, f"{where}[{key}]")
    elif isinstance(value, msgspec.Struct) and value.__struct_config__.frozen:
        for name in value.__struct_fields__:
            yield from changeable(getattr(value, name), f"{where}.{name}")
    elif dataclasses.is_dataclass(value) and value.__dataclass_params__.frozen:  # type: ignore[attr-defined]
        for one in dataclasses.fields(value):
            yield from changeable(getattr(value, one.name), f"{where}.{one.name}")
    else:
        yield f"{where}: {type(value).__name__}"
