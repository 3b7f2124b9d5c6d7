"""What the permissions function answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from uuid import UUID

import msgspec

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import RangeLimit
from clients.permissions.domain.inputs import DayQuestion, ProgrammeStretch
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique

NO_CONTACT = "technique.no_contact"
"""The reason of a stretch in which nobody is touched: it is no news of this client."""

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


class HandsOnExtent(StrEnum):
    """How much of the client's programme may be done by hand."""

    ALL = "all"
    PART = "part"
    NOTHING = "nothing"


class UsedRowKind(StrEnum):
    """Which table of the practice a row stands in."""

    LICENCE = "licence"
    SIGN_OFF = "sign_off"
    SUPERVISION = "supervision"
    SUPERVISOR_LICENCE = "supervisor_licence"
    LIMIT = "limit"


class UsedRow(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A row of the practice's tables that a verdict rests on, at one of its revisions."""

    kind: UsedRowKind
    id: UUID
    revision: int


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
    """What a judgement was made with, so that it can be explained for ever.

    ``rows``: licences, sign-offs, supervision and limits, each at its revision; ``orders``:
    the ids of those in force that day.
    """

    rules: int
    settings: int
    record: int
    catalogue: int
    consent_id: UUID | None = None
    limit_rows: tuple[UUID, ...] = ()
    rows: tuple[UsedRow, ...] = ()
    orders: tuple[UUID, ...] = ()


def by_hand(permission: StretchPermission) -> bool:
    """Whether anyone is touched in it at all: one without contact closes nothing."""
    return all(reason.code != NO_CONTACT for reason in permission.reasons)


def on_programme(permission: StretchPermission, programme: Iterable[ProgrammeStretch]) -> bool:
    """Whether a verdict speaks of a stretch on the programme, by that technique and side."""
    return any(
        permission.stretch == one.stretch
        and permission.technique in one.techniques
        and (Side.BOTH in (permission.side, one.side) or permission.side is one.side)
        for one in programme
    )


def concerned(
    permissions: Sequence[StretchPermission], programme: Sequence[ProgrammeStretch]
) -> list[StretchPermission]:
    """The verdicts that say what a session is: those of the programme that are by hand.

    Of the whole catalogue where nothing of the programme is, and where there is none.
    """
    manual = [one for one in permissions if by_hand(one)]
    return [one for one in manual if on_programme(one, programme)] or manual or list(permissions)


def least_extent(one: HandsOnExtent, other: HandsOnExtent) -> HandsOnExtent:
    """The smaller of two."""
    order = [HandsOnExtent.NOTHING, HandsOnExtent.PART, HandsOnExtent.ALL]
    return min(one, other, key=order.index)


def extent_of(modes: Iterable[Mode]) -> HandsOnExtent:
    """All, part or nothing hands-on."""
    found = [mode is Mode.HANDS_ON for mode in modes]
    if found and all(found):
        return HandsOnExtent.ALL
    return HandsOnExtent.PART if any(found) else HandsOnExtent.NOTHING


class SessionBound(msgspec.Struct, frozen=True, kw_only=True):
    """The widest that anything in a session can be, with the reasons that hold for all of it.

    ``refusals``: why it may not be booked at all.
    """

    mode: Mode
    reasons: tuple[Reason, ...] = ()
    refusals: tuple[Reason, ...] = ()


class SessionPermissions(msgspec.Struct, frozen=True, kw_only=True):
    """What may be done in one session.

    ``mode``: the widest that anything on the client's programme may be, now (of the whole
    catalogue while there is none); ``planned`` the same if the arrival questions bring
    nothing new; ``provisional``: they are not all answered. ``extent`` and ``planned_extent``:
    how much of the programme that is by hand; the widest mode alone says too little.
    ``programme``: the stretches that this speaks of. ``questions``: what only this client is
    asked on arrival and has not answered.
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
    extent: HandsOnExtent = HandsOnExtent.NOTHING
    planned_extent: HandsOnExtent = HandsOnExtent.NOTHING
    programme: tuple[ProgrammeStretch, ...] = ()
    questions: tuple[DayQuestion, ...] = ()

    def closed(self) -> tuple[StretchPermission, ...]:
        """What of the programme may not be done by hand now, though it is a stretch by hand."""
        return tuple(
            one
            for one in concerned(self.stretch_permissions, self.programme)
            if one.mode is not Mode.HANDS_ON
        )

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
