"""The words of a client's health history, consent, preference and orders, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum

# Provider preference


class PreferenceScope(StrEnum):
    """What a provider preference is for."""

    ALL_WORK = "all_work"
    HANDS_ON_ONLY = "hands_on_only"
