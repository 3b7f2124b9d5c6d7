"""What the permissions function answers."""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import RangeLimit
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique

MODE_WIDTH: dict[Mode, int] = {Mode.HANDS_ON: 2, Mode.SELF_DIRECTED: 1, Mode.NOT_TODAY: 0}


def narrower(one: Mode, other: Mode) -> Mode:
    """The stricter of two modes."""
    return one if MODE_WIDTH[one] <= MODE_WIDTH[other] else other


class StretchPermission(msgspec.Struct, frozen=True, kw_only=True):
    """One stretch by one technique on one side.

    ``mode`` holds now; ``planned`` is what it would be if the day's arrival questions
    were all answered with nothing against. ``reasons`` are all that narrow it,
    ``cautions`` those to heed while it is done. ``offered_instead`` is a technique.
    """

    stretch: str
    technique: Technique
    side: Side
    mode: Mode
    planned: Mode
    limits: tuple[RangeLimit, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()
    offered_instead: Technique | None = None


class LoadPermission(msgspec.Struct, frozen=True, kw_only=True):
    """Whether one limb, or the trunk, may carry external load, as far as facts and day say.

    ``operated``: an operation touched it; ``swollen``: lymphedema is on record there.
    ``reasons`` are all that close it, ``cautions`` those to heed while it is loaded.
    """

    limb: LoadedLimb
    open: bool
    operated: bool = False
    swollen: bool = False
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()


class EvaluatedVersions(msgspec.Struct, frozen=True, kw_only=True):
    """What a judgement was made with, so that it can be explained for ever."""

    rules: int
    settings: int
    record: int
    catalogue: int
    consent_id: UUID | None = None
    limit_rows: tuple[UUID, ...] = ()


class SessionPermissions(msgspec.Struct, frozen=True, kw_only=True):
    """What may be done in one session.

    ``mode``: the widest that anything in it may be, now; ``planned`` the same if the
    arrival questions bring nothing new; ``provisional``: they are not all answered.
    ``reasons``: those that hold for the whole session and, where nothing is hands-on,
    those of its verdicts too. ``refusals``: why it may not be booked at all;
    ``exception_id``: the exception without which it would go against the preference.
    ``loading``: no clearance for external load is missing; ``load_clearance_reasons`` where
    one is. ``load``: which limb may carry it, limb by limb.
    ``warnings``: things to see to that forbid nothing. ``refer_to``: whom to send the
    client to, one sentence per red flag of the day and per condition that is suspected.
    """

    mode: Mode
    planned: Mode
    provisional: bool
    reasons: tuple[Reason, ...]
    stretch_permissions: tuple[StretchPermission, ...]
    versions: EvaluatedVersions
    refusals: tuple[Reason, ...] = ()
    exception_id: UUID | None = None
    loading: bool = False
    load_clearance_reasons: tuple[Reason, ...] = ()
    load: tuple[LoadPermission, ...] = ()
    warnings: tuple[Reason, ...] = ()
    refer_to: tuple[str, ...] = ()

    def stretch_permission(
        self, stretch: str, technique: Technique, side: Side
    ) -> StretchPermission | None:
        """The verdict of one stretch, technique and side, or None if it was not asked."""
        for stretch_permission in self.stretch_permissions:
            if (
                stretch_permission.stretch,
                stretch_permission.technique,
                stretch_permission.side,
            ) == (stretch, technique, side):
                return stretch_permission
        return None
