"""Which limbs are watched: those whose latest girths say refer."""

from __future__ import annotations

from uuid import UUID

from clients.domain.clinical import ClientFacts
from clients.domain.permissions.inputs import SwollenLimb
from clients.domain.terms import Limb
from practice.domain.terms import Side
from sessions.domain.hour.history import sides_at_risk
from sessions.domain.motion.events import GirthsMeasured
from sessions.domain.swelling.judging import judge_girths
from sessions.models import Girths
from sessions.selectors.measurement import swelling_settings


def girths_of_row(row: Girths) -> GirthsMeasured:
    """What was measured, as a row of the read table keeps it."""
    return GirthsMeasured(
        girths_id=row.pk,
        session_id=row.session_id,
        interval_cm=row.interval_cm,
        left=tuple(row.left),
        right=tuple(row.right),
        baseline=row.baseline,
        new_heaviness=row.new_heaviness,
        rater_id=row.rater_id,
    )


class Watch:
    """The girths of one client, read once; what they say depends on the arms at risk."""

    def __init__(self, client_id: UUID) -> None:
        rows = Girths.objects.filter(client_id=client_id).order_by("-taken_at", "-version", "-id")
        self._rows = list(rows)

    def limbs(self, client: ClientFacts) -> tuple[SwollenLimb, ...]:
        """The arms whose latest girths say refer, by the sides at risk in these facts."""
        if not self._rows:
            return ()
        latest, *earlier = self._rows
        baseline = next((girths_of_row(row) for row in earlier if row.baseline), None)
        judged = judge_girths(
            girths_of_row(latest), baseline, sides_at_risk(client), swelling_settings()
        )
        return tuple(SwollenLimb(limb=Limb.ARM, side=Side(side)) for side in judged.refer_sides)
