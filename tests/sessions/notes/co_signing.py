"""A practice in which the physical therapist works by hand only under a supervisor."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from practice.core.terms import Allowance, Credential, Role, SupervisionLevel
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from sessions.calendar.models import Session
from tests.builders import Api, Built, account, limit, ok, practitioner, token_for
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client


def under_supervision(built: Built) -> None:
    """The law of the east asks for a supervisor who can be reached."""
    paula = Credential.PHYSICAL_THERAPIST
    JurisdictionLimit.objects.filter(jurisdiction="US-PA", credential=paula).delete()
    limit(
        "US-PA",
        paula,
        Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.GENERAL,
    )


def supervise(built: Built, supervisor: Practitioner, day: date, **more: Any) -> dict[str, Any]:
    """Someone supervises the physical therapist in the east on a day."""
    body = {
        "supervisor_id": str(supervisor.pk),
        "supervised_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "day": day.isoformat(),
        **more,
    }
    made: dict[str, Any] = ok(built.api(Role.OWNER).post("supervisions", body, key=key()), 201)
    return made


@dataclass
class CoSigning:
    """A session of yesterday by Paula under Rosa, and the requests about its note."""

    built: Built
    session_id: str
    rosa: Practitioner
    account: Staff
    phone: Device

    @classmethod
    def furnished(cls, built: Built, *, law: bool = True, **supervision: Any) -> CoSigning:
        """``law`` asks for the supervisor, or does not; the note has one line by hand."""
        if law:
            under_supervision(built)
        rosa = practitioner("Rosa Amsel", Credential.PHYSICAL_THERAPIST, built.east)
        of_rosa = account("rosa", Role.PRACTITIONER, built.east, of=rosa)
        session = took_place(built, open_client(built))
        day = Session.objects.get(pk=session["id"]).local_date
        supervise(built, rosa, day, **supervision)
        return cls(built, session["id"], rosa, of_rosa, Device(built, session["id"]))

    def sign(self, **changes: Any) -> dict[str, Any]:
        """Paula writes and signs."""
        lines = [line()] if "lines" not in changes else changes.pop("lines")
        self.phone.save(**whole_note(lines=lines, **changes))
        signed: dict[str, Any] = ok(self.phone.sign(), 201)
        return signed

    def read(self, api: Api | None = None) -> dict[str, Any]:
        """The signed note as it stands."""
        found: dict[str, Any] = ok((api or self.phone.api).get(self.phone.path))["signed"]
        return found

    def by(self, staff: Staff | None = None) -> Api:
        """A client signed in as someone; Rosa unless said otherwise."""
        return Api(token_for(staff or self.account))

    def co_sign(self, api: Api | None = None, **sent: Any) -> Any:
        """A co-signature of the note as it stands."""
        match = sent.pop("match", None) or self.read()["version"]
        path = f"{self.phone.path}/co-signature"
        return (api or self.by()).post(path, sent, match=match, key=key())

    def give_back(self, reason: str = "Say how the client responded.", **more: Any) -> Any:
        """The note sent back."""
        match = more.get("match") or self.read()["version"]
        return self.by().post(f"{self.phone.path}/return", {"reason": reason}, match=match)

    def add(self, text: str, **more: Any) -> dict[str, Any]:
        """An addendum by Paula."""
        sent = {"text": text, **more}
        added: dict[str, Any] = ok(self.phone.api.post(f"{self.phone.path}/addenda", sent), 201)
        return added
