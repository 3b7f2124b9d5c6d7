"""Which paper would lift what a reason closes: by the code of the reason. Pure.

It opens nothing and judges nothing: it tells what is closed for want of which paper.
"""

from __future__ import annotations

from clients.orders.domain.terms import OrderSubject

CLEARANCE_LIFTS: dict[str, OrderSubject] = {
    "surgery.no_clearance": OrderSubject.STRETCHING,
    "surgery.weeks": OrderSubject.STRETCHING,
    "surgery.neck": OrderSubject.STRETCHING,
    "surgery.expander": OrderSubject.RESISTED_CHEST_WORK,
    "surgery.arm_height": OrderSubject.ARM_ABOVE_SHOULDER,
    "clearance.no_start_date": OrderSubject.STRETCHING,
    "clearance.void": OrderSubject.STRETCHING,
    "flap.no_clearance": OrderSubject.STRETCHING,
    "flap.tilts": OrderSubject.PELVIC_TILTS,
    "flap.curls_no_clearance": OrderSubject.CURLS,
    "stoma.curls": OrderSubject.CURLS,
    "abdomen.curls_weeks": OrderSubject.CURLS,
    "metastasis.no_clearance": OrderSubject.WORK_AT_BONE_SITE,
    "clot.no_clearance": OrderSubject.WORK_AFTER_CLOT,
    "blood.neutrophils_clearance": OrderSubject.WORK_WITH_LOW_COUNTS,
    "brain.no_clearance": OrderSubject.WORK_WITH_BRAIN_CONDITION,
    "load.clearance_missing": OrderSubject.LOAD,
    "load.weeks": OrderSubject.LOAD,
    "load.abdomen_weeks": OrderSubject.LOAD,
    "load.metastasis": OrderSubject.LOAD,
    "load.heart": OrderSubject.LOAD,
    "stoma.load": OrderSubject.LOAD,
}
"""The subject of the clearance that a reason waits for; each code stands with its rule."""

SIGNATURE_LIFTS = frozenset({"law.without_physician"})
"""What a physician's signature on the plan of care, or a referral, answers."""
