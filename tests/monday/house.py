"""The practice on a Monday morning: who is on record, what is booked, what waits."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, Final
from uuid import UUID, uuid4

from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Role
from practice.policy.models import PracticeSetting
from tests.builders import Api, Built, at, ok
from tests.sessions.booking.http import WELL, key
from tests.sessions.people import consent, reviewed, tell
from tests.sessions.series.http import held_practice

MONDAY: Final = at("2026-03-09T10:30:00-04:00")
TODAY, TOMORROW, TUESDAY = "2026-03-09", "2026-03-10", "2026-03-17"


class House:
    """The practice that the tasks are played on; what it prepares is no call of the desk."""

    def __init__(self) -> None:
        self.built: Built = held_practice()
        self.built.staff[Role.FRONT_DESK].facilities.add(self.built.west)
        self.desk: Api = self.built.api(Role.FRONT_DESK)

    @property
    def practitioner(self) -> str:
        """The physical therapist who works in the east."""
        return str(self.built.practitioners[Credential.PHYSICAL_THERAPIST].pk)

    def client(self, given: str, family: str, *, known: bool = True, **details: Any) -> str:
        """Registered last week at both places; ``known``: consenting and reviewed since."""
        values = {
            "given_name": given,
            "family_name": family,
            "birth_date": "1971-04-23",
            "phone": "+12155550134",
            "contact_by": "phone",
            "facility_ids": [str(self.built.east.pk), str(self.built.west.pk)],
            **details,
        }
        made = ok(self.desk.post("clients", values, key=key()), 201)["id"]
        if known:
            ago = clock.now() - timedelta(days=30)
            tell(self.built, UUID(made), DatedEvent(consent(), ago), DatedEvent(reviewed(), ago))
        return str(made)

    def booked(self, client: str, starts_at: str, **more: Any) -> dict[str, Any]:
        """An hour with the physical therapist in the east."""
        body = {**self.hour(client, starts_at), **more}
        made: dict[str, Any] = ok(self.desk.post("sessions", body, key=key()), 201)
        return made

    def series(self, client: str, count: int = 12, clock_time: str = "09:30") -> dict[str, Any]:
        """Twice a week from next week's Tuesday on."""
        body = {
            **self.hour(client, {"local": f"{TUESDAY}T{clock_time}"}),
            "recurrence": f"FREQ=WEEKLY;BYDAY=TU,TH;COUNT={count}",
        }
        made: dict[str, Any] = ok(self.desk.post("session-series", body, key=key()), 201)
        return made

    def hour(self, client: str, starts_at: Any) -> dict[str, Any]:
        """What is sent to book an hour."""
        return {
            "client_id": client,
            "practitioner_id": self.practitioner,
            "facility_id": str(self.built.east.pk),
            "starts_at": starts_at,
            "minutes": 60,
        }

    def arrived(self, session: str) -> None:
        """Marked as arrived, with the answers."""
        self.desk_does(f"sessions/{session}/arrival", WELL)

    def desk_does(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """Something that the desk did before the task."""
        answer = self.desk.post(path, body or {}, key=str(uuid4()))
        assert answer.status_code in (200, 201), (path, answer.content)
        return answer.json()

    def withdrawn(self, client: str) -> None:
        """Touch consent withdrawn: what is booked narrows."""
        self.desk_does(f"clients/{client}/touch-consent/withdrawal")

    def desk_gives_records(self) -> None:
        """The practice allows the desk to give a client what is on record."""
        row = PracticeSetting.objects.get(group="record_requests", key="roles")
        path, value = f"settings/{row.pk}", {"value": ["owner", "front_desk"]}
        changed = {**value, "citation": "practice policy of 9 March 2026"}
        ok(self.built.api(Role.OWNER).change(path, changed))
