"""What should be known before a record is erased or someone leaves: warnings, no refusals."""

from __future__ import annotations

from practice.core.reasons import Reason
from practice.people_and_places.models.facilities import Room
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.services.practitioners import ChangedPractitioner
from practice.policy import hooks

POLICY = "practice policy"


def departed_practitioner_warnings(practitioner: Practitioner) -> list[Reason]:
    """What is left to do about a practitioner who has left."""
    if practitioner.is_active:
        return []
    found = []
    if count := hooks.count_upcoming_sessions(practitioner.pk):
        text = (
            f"{count} booked sessions with {practitioner.name} are upcoming: move or cancel them;"
            " each is flagged within a minute or so and comes on the call list."
            f" GET /sessions?practitioner_id={practitioner.pk}&status=booked lists them."
        )
        found.append(Reason(code="upcoming_sessions", text=text, source=POLICY))
    account = Staff.objects.filter(practitioner=practitioner, is_active=True).first()
    if account is not None:
        text = (
            f"The account {account.username} can still sign in: end it with is_active false at"
            f" /staff/{account.pk}."
        )
        found.append(Reason(code="account_active", text=text, source=POLICY))
    return found


def changed_practitioner_warnings(changed: ChangedPractitioner) -> list[Reason]:
    """The same, and what is booked at facilities where they do not work any more."""
    person = changed.row
    found = departed_practitioner_warnings(person)
    for facility in changed.left if person.is_active else ():
        if count := hooks.count_upcoming_sessions_at(facility.pk, person.pk):
            text = (
                f"{count} booked sessions with {person.name} at {facility.name} are upcoming, where"
                " they do not work any more: each is flagged within a minute or so and comes on"
                " the call list. Move or cancel them: GET /sessions?practitioner_id="
                f"{person.pk}&facility_id={facility.pk}&status=booked lists them."
            )
            found.append(Reason(code="sessions_where_they_left", text=text, source=POLICY))
    return found


def room_warnings(room: Room) -> list[Reason]:
    """What is booked into a room that is out of use."""
    if room.is_active or not (count := hooks.count_upcoming_sessions_in(room.pk)):
        return []
    text = (
        f"{count} booked sessions in {room.name} are upcoming, and it is out of use: move them into"
        f" another. GET /sessions?room_id={room.pk}&status=booked lists them."
    )
    return [Reason(code="sessions_in_room", text=text, source=POLICY)]


def ended_account_warnings(account: Staff) -> list[Reason]:
    """What is left to do about an account that has ended."""
    practitioner = account.practitioner
    if practitioner is None:
        return []
    if account.is_active:
        text = (
            f"{practitioner.name} is still inactive and is not booked: set is_active true at"
            f" /practitioners/{practitioner.pk} if they are back."
        )
        back = Reason(code="practitioner_inactive", text=text, source=POLICY)
        return [] if practitioner.is_active else [back]
    if not practitioner.is_active:
        return departed_practitioner_warnings(practitioner)
    ahead = hooks.count_upcoming_sessions(practitioner.pk)
    text = (
        f"{practitioner.name} can still be booked ({ahead} booked sessions are upcoming): if they"
        f" have left too, set is_active false at /practitioners/{practitioner.pk}."
    )
    return [Reason(code="still_bookable", text=text, source=POLICY)]
