"""The words of a client's health history, consent, preference and orders, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum

# Touch consent


class ConsentStatus(StrEnum):
    """Where the client's touch consent stands; expiry follows from its last day."""

    NONE = "none"
    GRANTED = "granted"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


class ConsentMethod(StrEnum):
    """How a touch consent was obtained."""

    PAPER = "paper"
    SPOKEN_WITH_WITNESS = "spoken_with_witness"
    TYPED_SIGNATURE = "typed_signature"
