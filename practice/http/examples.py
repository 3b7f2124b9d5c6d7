"""Ids and versions that stand in worked examples, each by the name of what it is of.

An example of a body stands where the body is declared: ``example`` of its serializer, or of
the ``Command`` where two methods share a serializer and want different ones. An id of
something that exists is written ``example_id("client")``, never by hand, so that the test
that sends every example puts the id of a real one there (``tests/api/test_examples.py``).
"""

from __future__ import annotations

from hashlib import sha256
from typing import Final
from uuid import UUID, uuid5

_NAMES: Final = UUID("5a1f0c5e-9d0b-4b57-8a62-3f1a6f1b7e10")


def example_id(thing: str) -> str:
    """The id that examples give to a thing, e.g. ``example_id("client")``; always the same."""
    return str(uuid5(_NAMES, thing))


def example_version(thing: str) -> str:
    """The version that examples give of what is shown by its digest, 64 hexadecimal digits."""
    return sha256(thing.encode()).hexdigest()
