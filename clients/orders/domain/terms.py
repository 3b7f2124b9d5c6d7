"""The words of a client's health history, consent, preference and orders, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum


class OrderKind(StrEnum):
    """An order from outside: a clearance widens, a restriction narrows.

    ``PLAN_SIGNATURE`` is a physician's dated signature on the plan of care.
    """

    CLEARANCE = "clearance"
    RESTRICTION = "restriction"
    PLAN_SIGNATURE = "plan_signature"


class OrderSubject(StrEnum):
    """What a clearance or restriction is about; each rule names the subject that lifts it.

    ``LOAD``: external load; an order of its own, without sites for all of the body.
    """

    STRETCHING = "stretching"
    RESISTED_CHEST_WORK = "resisted_chest_work"
    ARM_ABOVE_SHOULDER = "arm_above_shoulder"
    PELVIC_TILTS = "pelvic_tilts"
    CURLS = "curls"
    WORK_AT_BONE_SITE = "work_at_bone_site"
    WORK_AFTER_CLOT = "work_after_clot"
    LOAD = "load"
    WORK_WITH_LOW_COUNTS = "work_with_low_counts"
    WORK_WITH_BRAIN_CONDITION = "work_with_brain_condition"


class Prescriber(StrEnum):
    """Who gave an order. Only a surgeon's clearance permits what surgery forbids."""

    SURGEON = "surgeon"
    PHYSICIAN = "physician"
