"""The words of a client's health history, consent, preference and orders, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum

# Orders


class OrderKind(StrEnum):
    """An order from outside: leave widens, a restriction narrows, clearance frees loading.

    ``PLAN_SIGNATURE`` is a physician's dated signature on the plan of care.
    """

    LEAVE = "leave"
    RESTRICTION = "restriction"
    CLEARANCE = "clearance"
    PLAN_SIGNATURE = "plan_signature"


class OrderSubject(StrEnum):
    """What a leave or restriction is about; each restriction names the subject that lifts it."""

    STRETCHING = "stretching"
    RESISTED_CHEST_WORK = "resisted_chest_work"
    ARM_ABOVE_SHOULDER = "arm_above_shoulder"
    PELVIC_TILTS = "pelvic_tilts"
    CURLS = "curls"
    WORK_AT_BONE_SITE = "work_at_bone_site"
    WORK_AFTER_CLOT = "work_after_clot"


class Prescriber(StrEnum):
    """Who gave an order. Only a surgeon's leave permits what surgery forbids."""

    SURGEON = "surgeon"
    PHYSICIAN = "physician"
