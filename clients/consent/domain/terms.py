"""The words of touch consent, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum


class ConsentStatus(StrEnum):
    """Where the client's touch consent stands; expiry follows from its last day.

    ``SUSPENDED``: the only consent that could count was given after a withdrawal was said and
    entered before the withdrawal was; the client is asked whether it stands.
    """

    NONE = "none"
    GRANTED = "granted"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"
    SUSPENDED = "suspended"


class GrantStatus(StrEnum):
    """What became of one consent on record.

    ``REPLACED``: another that was given later stands; ``ENDED``: a withdrawal or refusal.
    """

    STANDS = "stands"
    REPLACED = "replaced"
    SUSPENDED = "suspended"
    ENDED = "ended"


class ConsentMethod(StrEnum):
    """How a touch consent was obtained."""

    PAPER = "paper"
    SPOKEN_WITH_WITNESS = "spoken_with_witness"
    TYPED_SIGNATURE = "typed_signature"


class ConsentSigner(StrEnum):
    """Who gave it: the client, or a guardian for a client below the age of consent."""

    CLIENT = "client"
    GUARDIAN = "guardian"
