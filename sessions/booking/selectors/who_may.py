"""With whom there may be a session, where and on which day: asked once for all who are alike."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from clients.permissions.domain.results import MODE_WIDTH, SessionBound, SessionPermissions
from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.assessment.domain.assessment import session_reasons
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.assessment.selectors.places import AssessmentPlace


@dataclass(slots=True)
class Exclusion:
    """Who is not offered at a facility, why, and on which of the days looked at."""

    practitioner_id: UUID
    facility_id: UUID
    reasons: tuple[Reason, ...]
    first_day: date
    last_day: date


class WhoMay:
    """The permissions of sessions of one client, planned; ``least``: the narrowest mode offered.

    ``asked``: how many sessions were evaluated in full. ``exclusions`` grow with what is asked.
    """

    def __init__(self, assessor: SessionAssessor, least: Mode) -> None:
        self._assessor = assessor
        self._least = least
        self._bounds: dict[Hashable, SessionBound] = {}
        self._planned: dict[Hashable, SessionPermissions] = {}
        self._excluded: dict[Hashable, Exclusion] = {}

    @property
    def asked(self) -> int:
        """How many sessions were evaluated in full."""
        return len(self._planned)

    @property
    def exclusions(self) -> list[Exclusion]:
        """Everyone who was left out so far."""
        return list(self._excluded.values())

    def may(self, practitioner_id: UUID, facility_id: UUID, day: date) -> bool:
        """Whether there can be a session at all, by what holds for all of it."""
        place = AssessmentPlace(practitioner_id, facility_id, day)
        kind = self._assessor.kind(place)
        if kind not in self._bounds:
            self._bounds[kind] = self._assessor.case(place).planned_bound()
        bound = self._bounds[kind]
        return self._allowed(place, bound.mode, bound.reasons, bound.refusals)

    def planned(
        self, practitioner_id: UUID, facility_id: UUID, day: date
    ) -> SessionPermissions | None:
        """What a session would be planned as; None where it is not offered."""
        place = AssessmentPlace(practitioner_id, facility_id, day)
        kind = self._assessor.kind(place)
        if kind not in self._planned:
            self._planned[kind] = self._assessor.case(place).planned()
        found = self._planned[kind]
        return found if self._allowed(place, found.mode, found.reasons, found.refusals) else None

    def exclude(
        self, practitioner_id: UUID, facility_id: UUID, day: date, reasons: tuple[Reason, ...]
    ) -> None:
        """Keep that someone is not offered on a day."""
        key = (practitioner_id, facility_id, reasons)
        found = self._excluded.setdefault(
            key, Exclusion(practitioner_id, facility_id, reasons, day, day)
        )
        found.first_day = min(found.first_day, day)
        found.last_day = max(found.last_day, day)

    def _allowed(
        self,
        place: AssessmentPlace,
        mode: Mode,
        reasons: tuple[Reason, ...],
        refusals: tuple[Reason, ...],
    ) -> bool:
        if not refusals and MODE_WIDTH[mode] >= MODE_WIDTH[self._least]:
            return True
        why = refusals or session_reasons(reasons)
        self.exclude(place.practitioner_id, place.facility_id, place.day, why)
        return False
