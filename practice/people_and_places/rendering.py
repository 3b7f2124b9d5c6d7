"""People and places as shown after a command: the row, and what should be seen to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from practice.core.reasons import Reason
from practice.http.representations import Representation, with_warnings
from practice.law.fixtures import starter_limits
from practice.law.selectors import limits_on_record
from practice.people_and_places.facility_warnings import (
    changed_facility_warnings,
    facility_warnings,
)
from practice.people_and_places.hooks import supervised_notes
from practice.people_and_places.models.facilities import Facility, Room
from practice.people_and_places.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    Supervision,
)
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.offboarding import (
    changed_practitioner_warnings,
    ended_account_warnings,
    room_warnings,
)
from practice.people_and_places.selectors.facilities import facilities_of_account
from practice.people_and_places.serializers.access import MyAccountOutputSerializer
from practice.people_and_places.serializers.facilities import (
    FacilityInputSerializer,
    RoomSerializer,
)
from practice.people_and_places.serializers.people import (
    CompetenceInputSerializer,
    LicenceInputSerializer,
    PractitionerInputSerializer,
    StaffInputSerializer,
    SupervisedNoteOutputSerializer,
    SupervisionSerializer,
)
from practice.people_and_places.services.facilities import ChangedFacility
from practice.people_and_places.services.practitioners import (
    ChangedPractitioner,
    latest_today,
    licence_warnings,
    same_name_warnings,
)
from practice.people_and_places.services.sign_offs import own_sign_off_warnings
from practice.work.unit_of_work import UnitOfWork


def serialize_my_account(staff: Staff) -> Any:
    """An account as its owner reads it, with the facilities whose rows they see."""
    shown = {
        "id": staff.pk,
        "username": staff.username,
        "name": staff.name,
        "role": staff.role,
        "practitioner_id": staff.practitioner_id,
        "facilities": facilities_of_account(staff),
    }
    return MyAccountOutputSerializer(shown).data


def render_changed_supervision(_uow: UnitOfWork, row: Supervision) -> Representation:
    """A supervision, and what its change does to the notes of its day."""
    notes = SupervisedNoteOutputSerializer(supervised_notes(row), many=True).data
    shown = {**SupervisionSerializer(row).data, "notes": notes}
    return Representation(shown, row.revision)


def render_changed_account(_uow: UnitOfWork, row: Staff) -> Representation:
    """An account with what stands open where it was ended."""
    return with_warnings(StaffInputSerializer(row).data, ended_account_warnings(row), row.revision)


def render_new_practitioner(_uow: UnitOfWork, row: Practitioner) -> Representation:
    """A practitioner with whoever has the same name."""
    shown = PractitionerInputSerializer(row).data
    return with_warnings(shown, same_name_warnings(row), row.revision)


def render_changed_practitioner(_uow: UnitOfWork, changed: ChangedPractitioner) -> Representation:
    """The same, and what stands open where they have left."""
    row = changed.row
    warnings = [*same_name_warnings(row), *changed_practitioner_warnings(changed)]
    return with_warnings(PractitionerInputSerializer(row).data, warnings, row.revision)


def render_licence(uow: UnitOfWork, row: Licence) -> Representation:
    """A licence with what does not let it count today."""
    today = latest_today(row.practitioner_id, uow.now)
    return with_warnings(
        LicenceInputSerializer(row).data, licence_warnings(row, today), row.revision
    )


def render_competence(_uow: UnitOfWork, row: Competence) -> Representation:
    """A sign-off with a warning where nobody else stands for it."""
    shown = CompetenceInputSerializer(row).data
    return with_warnings(shown, own_sign_off_warnings(row), row.revision)


def render_changed_room(_uow: UnitOfWork, row: Room) -> Representation:
    """A room with what is booked into it where it is out of use."""
    return with_warnings(RoomSerializer(row).data, room_warnings(row), row.revision)


def render_new_facility(_uow: UnitOfWork, row: Facility) -> Representation:
    """A facility with what its law and its clock lack."""
    limits = limits_on_record(row.jurisdiction)
    return _facility(row, limits, facility_warnings(row, limits))


def render_changed_facility(_uow: UnitOfWork, changed: ChangedFacility) -> Representation:
    """The same, and what the change does to the sessions booked there."""
    limits = limits_on_record(changed.row.jurisdiction)
    return _facility(changed.row, limits, changed_facility_warnings(changed, limits))


def _facility(row: Facility, limits: int, warnings: Iterable[Reason]) -> Representation:
    """With how many limits its jurisdiction has on record; where none, the starter rows."""
    shown = {
        **FacilityInputSerializer(row).data,
        "limits_on_record": limits,
        "starter_rows": [] if limits else starter_limits(row.jurisdiction),
    }
    return with_warnings(shown, warnings, row.revision)
