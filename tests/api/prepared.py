"""A practice prepared for the worked examples: what each of their ids stands for.

``THINGS`` makes the thing of a name, once and only when an example asks for it; ``BEFORE`` says
what must have happened before an operation whose example asks for more than its things.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final
from uuid import uuid4

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import Facility, FacilityRule
from practice.people_and_places.models.practitioners import Competence, Supervision
from practice.policy.models import PracticeSetting
from sessions.stretches.domain.jobs import RECHECK_MAIL_JOB
from tests.api.description import Operation
from tests.api.matrix import MATRIX
from tests.billing.practice_rows import payer
from tests.builders import Api, Built, account, at, build_practice, ok, practitioner, version_of
from tests.sessions.booking.http import WELL
from tests.sessions.notes.http import whole_note
from tests.sessions.people import open_client, registered

NOW: Final = at("2026-03-09T12:00:00-04:00")
"""A Monday noon in the east, on which every example is sent."""
ROLES: Final = (Role.PRACTITIONER, Role.FRONT_DESK, Role.BILLING, Role.OWNER)
Make = Callable[["Prepared"], str]


@dataclass
class Prepared:
    """The practice, and the ids of what was made in it so far."""

    stack: ExitStack
    built: Built = field(default_factory=build_practice)
    made: dict[str, str] = field(default_factory=dict)
    match: int | None = None
    role: Role | None = None
    signed_in: dict[Role, Api] = field(default_factory=dict)

    def id(self, thing: str) -> str:
        """The id of a thing, which is made if it is not there yet."""
        if thing not in self.made:
            if thing not in THINGS:
                raise LookupError(thing)
            self.made[thing] = THINGS[thing](self)
        return self.made[thing]

    def api(self, role: Role) -> Api:
        """One token for each: under a held clock a second one would be the same."""
        if role not in self.signed_in:
            self.signed_in[role] = self.built.api(role)
        return self.signed_in[role]

    def role_for(self, one: Operation) -> Role | None:
        """Someone who may do it, those who do it every day first; None for nobody."""
        allowed = MATRIX[one.name][one.method]
        if "nobody" in allowed:
            return None
        return self.role or next(role for role in ROLES if role.value in allowed)

    def post(self, path: str, body: Any = None, role: Role = Role.OWNER, **more: Any) -> Any:
        """Something done beforehand, which must succeed."""
        answer = self.api(role).post(path, body, key=str(uuid4()), **more)
        assert answer.status_code in (200, 201, 202, 204), (
            path,
            answer.status_code,
            answer.content,
        )
        return answer.json() if answer.content else None

    def version(self, path: str, role: Role = Role.OWNER) -> int:
        return version_of(self.api(role).get(path))

    def now(self, text: str) -> None:
        """Put the clock on."""
        self.stack.enter_context(clock.at(at(text)))


def _booked(p: Prepared, starts_at: str = "2026-03-16T09:30:00-04:00", **more: Any) -> str:
    body = {
        "client_id": p.id("client"),
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": starts_at,
        "minutes": 60,
        **more,
    }
    return str(p.post("sessions", body, Role.FRONT_DESK)["id"])


def _series(p: Prepared) -> str:
    body = {
        "client_id": p.id("client"),
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": {"local": "2026-03-17T15:00"},
        "minutes": 60,
        "recurrence": "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=4",
    }
    return str(p.post("session-series", body, Role.FRONT_DESK)["id"])


def _class(p: Prepared) -> str:
    body = {
        "title": "Strength and balance",
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": {"local": "2026-03-19T16:00"},
        "minutes": 45,
        "capacity": 6,
    }
    return str(p.post("classes", body, Role.FRONT_DESK)["id"])


def _class_with_a_place(p: Prepared) -> None:
    path = f"classes/{p.id('class')}/places"
    p.post(path, {"client_id": p.id("client")}, Role.FRONT_DESK)


def _waiting(p: Prepared) -> str:
    return str(p.post(f"clients/{p.id('client')}/waiting", {"minutes": 60}, Role.FRONT_DESK)["id"])


def _absence(p: Prepared) -> str:
    """The practitioner of the session that is booked is absent on its day."""
    p.id("session")
    body = {"practitioner_id": p.id("practitioner"), "first_day": "2026-03-16", "kind": "ill"}
    return str(p.post("absences", body, Role.FRONT_DESK)["id"])


def _closure(p: Prepared) -> str:
    p.id("session")
    body = {"facility_id": p.id("facility"), "first_day": "2026-03-16", "reason": "Snow."}
    return str(p.post("closures", body, Role.FRONT_DESK)["id"])


def _extra_hours(p: Prepared) -> str:
    body = {
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "day": "2026-03-22",
        "starts": "18:00",
        "ends": "20:00",
    }
    return str(p.post("extra-hours", body, Role.FRONT_DESK)["id"])


def _holiday_opening(p: Prepared) -> str:
    body = {"facility_id": p.id("facility"), "day": "2026-12-25"}
    return str(p.post("holiday-openings", body, Role.FRONT_DESK)["id"])


def _of_today(p: Prepared, **more: Any) -> str:
    """A session of this morning that took place."""
    return _booked(p, "2026-03-09T10:00:00-04:00", attendance="attended", answers={**WELL, **more})


def _draft(p: Prepared, method: str = "PATCH", sequence: int = 1, match: int = 0) -> None:
    body = {"device": "tablet", "sequence": sequence, **whole_note()}
    path = f"sessions/{p.id('session')}/note"
    p.match = ok(p.api(Role.PRACTITIONER).send(method, path, body, match=match))["revision"]


def _signed(p: Prepared) -> None:
    p.made.setdefault("session", _of_today(p))
    _draft(p)
    path = f"sessions/{p.id('session')}/note/signature"
    p.post(path, {}, Role.PRACTITIONER, match=p.match)
    p.match = None


def _authorization(p: Prepared) -> str:
    body = {
        "payer_id": p.id("payer"),
        "number": "PA-1",
        "member_id": "LHP-1",
        "starts_on": "2026-03-01",
        "ends_on": "2026-05-31",
        "visits": 10,
        "units": 40,
    }
    return str(p.post(f"clients/{p.id('client')}/authorizations", body)["id"])


def _visit(p: Prepared) -> str:
    p.id("authorization")
    _signed(p)
    return str(ok(p.api(Role.BILLING).get("visits"))["results"][0]["id"])


def _reading(p: Prepared, degrees: int = 140) -> str:
    body = {
        "movement": "shoulder_abduction",
        "side": "left",
        "motion": "active",
        "degrees": degrees,
        "position": "sitting",
        "instrument": "goniometer",
    }
    path = f"clients/{p.id('client')}/range-of-motion"
    return str(p.post(path, body, Role.PRACTITIONER)["reading"]["id"])


def _prescription(p: Prepared) -> str:
    body = {"stretch": "abduction_pattern", "side": "left", "facility_id": p.id("facility")}
    path = f"clients/{p.id('client')}/stretches"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _started(p: Prepared) -> None:
    p.post(f"stretches/{p.id('prescription')}/start", {}, Role.PRACTITIONER)


def _discharged(p: Prepared) -> None:
    _measured(p)
    path = f"stretches/{p.id('prescription')}/discharge"
    p.post(path, {"reason": "reached"}, Role.PRACTITIONER)


def _recheck(p: Prepared) -> str:
    _discharged(p)
    return str(ok(p.api(Role.OWNER).get("rechecks"))["results"][0]["id"])


def _home_exercise(p: Prepared) -> str:
    body = {
        "stretch": "abduction_pattern",
        "side": "left",
        "dose": {"technique": "active_isolated", "repetitions": 10, "hold_seconds": 2},
        "stop_signs": ["sharp pain"],
        "assigned_on": "2026-03-09",
    }
    path = f"clients/{p.id('client')}/home-exercises"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _order(p: Prepared, kind: str = "restriction", day: str = "2026-02-01", **more: Any) -> str:
    body = {
        "kind": kind,
        "prescriber": "surgeon",
        "prescriber_name": "Amara Whitfield",
        "given_on": day,
        "sites": [{"region": "arm", "side": "left"}],
        "subjects": ["stretching"],
        **more,
    }
    path = f"clients/{p.id('client')}/orders"
    before = {one["id"] for one in ok(p.api(Role.OWNER).get(path))["results"]}
    (made,) = {one["id"] for one in p.post(path, body)["results"]} - before
    return str(made)


def _paper(p: Prepared) -> str:
    body = {"kind": "clearance", "asked_of": {"name": "Amara Whitfield", "role": "surgeon"}}
    return str(p.post(f"clients/{p.id('client')}/papers", body, Role.FRONT_DESK)["id"])


def _paper_step(p: Prepared) -> str:
    path = f"clients/{p.id('client')}/papers/{p.id('paper')}/sending"
    return str(p.post(path, {"channel": "fax"}, Role.FRONT_DESK)["steps"][-1]["id"])


def _answered_paper(p: Prepared) -> None:
    path = f"clients/{p.id('client')}/papers/{p.id('paper')}/answer"
    p.post(path, {"outcome": "given"}, Role.FRONT_DESK)


def _consent(p: Prepared) -> str:
    """A consent that is suspended: a withdrawal said before it was entered after it."""
    p.made["client"] = client = str(registered(p.built))
    path = f"clients/{client}/touch-consent"
    given = {
        "regions": [{"region": "arm", "side": "left"}],
        "techniques": ["active_isolated"],
        "form": "paper",
        "language": "en",
    }
    p.post(path, {**given, "signed_on": "2026-03-02"})
    p.post(path, {**given, "signed_on": "2026-03-09", "occurred_at": "2026-03-09T11:00:00-04:00"})
    p.post(f"{path}/withdrawal", {"occurred_at": "2026-03-09T10:00:00-04:00"})
    shown = ok(p.api(Role.OWNER).get(path))
    return str(next(one["consent_id"] for one in shown["grants"] if one["can_be_confirmed"]))


def _of_list(path: str) -> Make:
    return lambda p: str(ok(p.api(Role.OWNER).get(path))["results"][0]["id"])


def _consent_age(p: Prepared) -> str:
    row = {
        "jurisdiction": "US-AL",
        "years": 14,
        "effective_from": "2024-01-01",
        "source": "made up for tests",
        "verified_on": "2026-02-01",
    }
    return str(p.post("consent-ages", row)["id"])


def _licence(p: Prepared) -> str:
    found = p.built.practitioners[Credential.PHYSICAL_THERAPIST].licences
    return str(found.get(jurisdiction="US-PA").pk)


def _supervision(p: Prepared) -> str:
    row = Supervision.objects.create(
        supervisor_id=p.id("practitioner"),
        supervised_id=p.id("supervised practitioner"),
        facility_id=p.id("facility"),
        day=date(2026, 3, 10),
    )
    return str(row.pk)


def _rule(p: Prepared) -> str:
    row = FacilityRule.objects.create(
        facility=p.built.east, technique="passive", allowance="not_allowed", reason="no table"
    )
    return str(row.pk)


def _finding(p: Prepared) -> str:
    body = {"finding": "rounded_shoulders", "severity": "mild"}
    return str(p.post(f"clients/{p.id('client')}/posture", body, Role.PRACTITIONER)["id"])


def _circumferences(p: Prepared) -> str:
    arm = [16.5, 18.0, 20.5]
    body = {"left": arm, "right": arm, "interval_cm": 4}
    path = f"clients/{p.id('client')}/circumferences"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _number_setting(_p: Prepared) -> str:
    """One whose value may be 8."""
    rows = PracticeSetting.objects.filter(unit="hours").order_by("pk")
    return str(next(one.pk for one in rows if isinstance(one.value, int)))


def _corrections_version(p: Prepared) -> str:
    p.id("visit")
    p.post("service-codes", {"code": "NEW15", "description": "stretching", "timed": True})
    mapped = {"part": "stretching", "credential": "physical_therapist", "code": "NEW15"}
    change = {"services": [mapped], "in_force_from": "2026-03-01"}
    ok(p.api(Role.BILLING).change(f"payers/{p.id('payer')}", change))
    query = {"from": "2026-03-01", "to": "2026-03-31"}
    shown = p.api(Role.BILLING).get(f"payers/{p.id('payer')}/corrections", query)
    return str(ok(shown)["version"])


def _coverable_version(p: Prepared) -> str:
    """Of the visits that would be covered now: signed before the authorization was recorded."""
    _signed(p)
    p.id("authorization")
    shown = p.api(Role.BILLING).get("coverable-visits", {"client_id": p.id("client")})
    return str(ok(shown)["version"])


def _feed(p: Prepared) -> str:
    whose = {"facility_id": str(p.built.east.pk), "label": "Front desk"}
    maker = Role.PRACTITIONER if p.role in (None, Role.BILLING) else p.role
    made = p.post("calendar-feeds", whose, maker)
    p.made["secret"] = made["path"].rsplit("/", 1)[1].removesuffix(".ics")
    return str(made["id"])


def _secret(p: Prepared) -> str:
    _feed(p)
    return p.made["secret"]


def _kind(p: Prepared) -> str:
    body = {"name": "Follow-up", "purpose": "treatment", "default_minutes": 45}
    return str(p.post("session-kinds", body)["id"])


def _held_slot(p: Prepared) -> str:
    whose = {"practitioner_id": p.id("practitioner"), "facility_id": p.id("facility")}
    body = {**whose, "weekday": 5, "starts": "10:00", "ends": "12:00"}
    return str(p.post("held-slots", body)["id"])


def _travel_time(p: Prepared) -> str:
    both = {"facility_id": str(p.built.east.pk), "other_facility_id": str(p.built.west.pk)}
    return str(p.post("travel-times", {**both, "minutes": 35})["id"])


THINGS: Final[dict[str, Make]] = {
    "client": lambda p: str(open_client(p.built)),
    "practitioner": lambda p: str(p.built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
    "supervised practitioner": lambda p: str(
        practitioner("Ari", Credential.PHYSICAL_THERAPIST_ASSISTANT, p.built.east).pk
    ),
    "facility": lambda p: str(p.built.east.pk),
    "room": lambda p: str(p.built.rooms["East 1"].pk),
    "staff": lambda p: str(p.built.staff[Role.FRONT_DESK].pk),
    "token": _of_list("auth/tokens"),
    "payer": lambda _p: str(payer().pk),
    "code": lambda p: (p.id("payer"), _of_list("service-codes")(p))[1],
    "limit": _of_list("jurisdiction-limits"),
    "comparison": lambda p: str(p.post("log/comparisons")["id"]),
    "age": _consent_age,
    "rule": _rule,
    "licence": _licence,
    "competence": lambda p: str(
        p.built.practitioners[Credential.PHYSICAL_THERAPIST].competences.all()[0].pk
    ),
    "supervision": _supervision,
    "setting": _number_setting,
    "session": _booked,
    "feed": _feed,
    "kind": _kind,
    "held_slot": _held_slot,
    "travel_time": _travel_time,
    "other facility": lambda p: str(p.built.west.pk),
    "secret": _secret,
    "series": _series,
    "class": _class,
    "waiting": _waiting,
    "absence": _absence,
    "closure": _closure,
    "extra_hours": _extra_hours,
    "holiday_opening": _holiday_opening,
    "met_session": lambda p: p.id("session"),
    "session_of_closure": lambda p: p.id("session"),
    "stand_in": lambda p: str(p.built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk),
    "order": _order,
    "clearance": lambda p: _order(p, "clearance", "2026-03-02"),
    "consent": _consent,
    "paper": _paper,
    "paper step": _paper_step,
    "reading": _reading,
    "finding": _finding,
    "circumferences": _circumferences,
    "prescription": _prescription,
    "home_exercise": _home_exercise,
    "recheck": _recheck,
    "authorization": _authorization,
    "visit": _visit,
    "corrections": _corrections_version,
    "coverable visits": _coverable_version,
    "record_request": lambda p: str(p.post(f"clients/{p.id('client')}/record-requests", {})["id"]),
}


def _account_of_the_example(p: Prepared) -> None:
    row = account("desk.rivera", Role.FRONT_DESK, p.built.east)
    row.set_password("a long sentence of your own")
    row.save()


def _password_of_the_example(p: Prepared) -> None:
    p.role = Role.FRONT_DESK
    row = p.built.staff[Role.FRONT_DESK]
    row.set_password("the sentence I had before")
    row.save()


def _today(p: Prepared) -> None:
    p.made["session"] = _of_today(p)


def _before_the_first_save(p: Prepared) -> None:
    _today(p)
    p.match = 0


def _offered(p: Prepared) -> None:
    body = {
        "practitioner_id": p.id("practitioner"),
        "facility_id": p.id("facility"),
        "starts_at": "2026-03-17T10:00:00-04:00",
    }
    p.post(f"waiting-list/{p.id('waiting')}/offers", body, Role.FRONT_DESK)


def _drafted(p: Prepared) -> None:
    _today(p)
    _draft(p)


def _measured(p: Prepared) -> None:
    _reading(p)
    _started(p)


def _started_unattended(p: Prepared) -> None:
    p.made["session"] = _booked(p, "2026-03-09T12:30:00-04:00")
    p.now("2026-03-09T12:45:00-04:00")


def _arrived(p: Prepared, **answers: Any) -> None:
    p.made["session"] = _booked(p, "2026-03-09T12:10:00-04:00")
    path = f"sessions/{p.id('session')}/arrival"
    p.post(path, {**WELL, **answers}, Role.FRONT_DESK)


def _opened(p: Prepared) -> None:
    _arrived(p)
    p.post(f"sessions/{p.id('session')}/opening", {}, Role.PRACTITIONER)


def _unsent(p: Prepared) -> None:
    _signed(p)
    path = f"sessions/{p.id('session')}/note"
    late = {"device": "phone", "sequence": 1, "plan": "Go on."}
    saved = p.api(Role.PRACTITIONER).patch(path, late, match=1)
    p.match = ok(saved)["revision"]


def _other_preference(p: Prepared) -> None:
    path = f"clients/{p.id('client')}/provider-preference"
    ok(p.api(Role.OWNER).put(path, {"gender": "man"}))


def _record_version(p: Prepared) -> None:
    p.match = p.version(f"clients/{p.id('client')}")


def _erasure_ordered(p: Prepared) -> None:
    account("owner.two", Role.OWNER)
    body = {"reason": "asked for", "before_retention": True}
    path = f"clients/{p.id('client')}/erasure"
    p.post(path, body)


def _second_owner(p: Prepared) -> None:
    _erasure_ordered(p)
    p.built.staff[Role.OWNER] = type(p.built.staff[Role.OWNER]).objects.get(username="owner.two")
    p.signed_in.clear()
    p.role = Role.OWNER


def _ended(p: Prepared) -> None:
    path = f"authorizations/{p.id('authorization')}/ending"
    p.post(path, {"ends_on": "2026-04-30", "reason": "change"})


def _given_up(p: Prepared) -> None:
    client = p.id("client")
    ScheduledJob.objects.create(
        kind=RECHECK_MAIL_JOB,
        key="a mail",
        subject=client,
        about=client,
        due_at=clock.now(),
        status=ScheduledJob.Status.GIVEN_UP,
    )


def someone_to_call(p: Prepared) -> None:
    """A session that narrowed since it was booked."""
    p.id("session")
    p.post(f"clients/{p.id('client')}/touch-consent/withdrawal", {})


def _as_owner(p: Prepared) -> None:
    p.role = Role.OWNER


BEFORE: Final[dict[str, Callable[[Prepared], Any]]] = {
    "absence-moves-POST": lambda p: p.id("absence"),
    "class-move-POST": _class_with_a_place,
    "class-cancellation-POST": _class_with_a_place,
    "closure-moves-POST": lambda p: p.id("closure"),
    "waiting-acceptance-POST": _offered,
    "waiting-decline-POST": _offered,
    "token-list-POST": _account_of_the_example,
    "token-detail-DELETE": _as_owner,
    "me-PATCH": _password_of_the_example,
    "starter-limits-POST": lambda p: JurisdictionLimit.objects.all().delete(),
    "starter-consent-ages-POST": lambda p: Facility.objects.update(jurisdiction="US-AL"),
    "competence-list-POST": lambda p: Competence.objects.all().delete(),
    "supervision-ending-POST": lambda p: p.id("supervision"),
    "jobs-put-back-POST": _given_up,
    "erasure-DELETE": _erasure_ordered,
    "erasure-approval-POST": _second_owner,
    "history-review-POST": _record_version,
    "consent-confirmation-POST": lambda p: p.id("consent"),
    "paper-order-POST": _answered_paper,
    "preference-exception-list-POST": _other_preference,
    "session-no-show-POST": _started_unattended,
    "session-correction-POST": _arrived,
    "session-arrival-POST": _started_unattended,
    "session-opening-POST": _arrived,
    "session-stop-POST": _opened,
    "red-flag-clearance-POST": lambda p: _arrived(p, new_symptoms=["new_swelling"]),
    "words-review-POST": lambda p: _arrived(p, other_symptoms="my hand tingles"),
    "session-note-PUT": _before_the_first_save,
    "session-note-PATCH": _before_the_first_save,
    "note-lines-POST": _before_the_first_save,
    "note-signature-POST": _drafted,
    "note-addenda-POST": _signed,
    "note-unsent-discard-POST": _unsent,
    "stretch-resume-POST": _discharged,
    "stretch-discharge-POST": _measured,
    "stretches-end-POST": _started,
    "payer-detail-PATCH": lambda p: p.id("code"),
    "payer-list-POST": lambda p: p.post(
        "service-codes", {"code": "STR15", "description": "stretching", "timed": True}
    ),
    "authorization-reopening-POST": _ended,
    "visit-summary-list-POST": lambda p: p.id("visit"),
    "record-request-list-POST": _as_owner,
}
"""By ``<name of the address>-<method>``."""
