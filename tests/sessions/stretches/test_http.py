"""The stretch programme and its re-checks over HTTP, the call list and the reminder."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from dateutil.relativedelta import relativedelta
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.health.domain.content import Operation
from clients.health.domain.terms import OperationKind
from clients.identity.domain.contact import ContactBy
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from practice.audit import rebuild
from practice.clock import clock
from practice.core.localtime import local_day
from practice.core.terms import Role, Side
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from sessions.stretches.models import Recheck
from sessions.stretches.services.rechecks import recheck_put_on_call_list
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book, local
from tests.sessions.people import doing, open_client, practice_writes, reviewed, tell
from tests.sessions.stretches.stories import (
    STRETCH,
    days_ago,
    discharged,
    first_open,
    measure,
    moment,
)


def writes_to(built: Built, client_id: UUID, contact: ContactBy) -> None:
    """The client lets the practice get in touch in one way."""
    practice_writes()
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        email="rosa@example.org",
        phone="+12155550100",
        zone=built.east.zone,
        contact_by=contact,
        facility_ids=(built.east.pk,),
    )
    tell(built, client_id, ClientDetailsChanged(details=details))


def test_a_discharge_of_ten_weeks_ago_is_due_already_and_called_once(built: Built) -> None:
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    found = discharged(built, client_id, days=70)
    assert (found["status"], found["at_goal"]) == ("discharged", True)
    assert run_due_jobs().done == 3  # the call, the reminder of this week, and its mail
    assert run_due_jobs().done == 0
    on_call_list = first_open(built, client_id)
    assert (on_call_list["status"], on_call_list["channel"]) == ("on_call_list", "mail")
    assert len(mail.outbox) == 1


def test_the_first_re_check_falls_two_calendar_months_after_the_local_day(built: Built) -> None:
    client_id = open_client(built)
    found = discharged(built, client_id, days=70)
    day = local_day(moment(found["discharged_at"]), built.east.zone)
    assert found["discharged_on"] == day.isoformat()
    due = date.fromisoformat(first_open(built, client_id)["due_on"])
    assert due == day + relativedelta(months=2)  # the facility is open every day


def test_the_reminder_says_nothing_clinical(built: Built) -> None:
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    discharged(built, client_id)
    run_due_jobs()
    (sent,) = mail.outbox
    whole = f"{sent.subject} {sent.body}".lower()
    assert sent.to == ["rosa@example.org"]
    for word in (
        "re-check",
        "recheck",
        "stretch",
        "shoulder",
        "range",
        "motion",
        "surgery",
        "rosa",
    ):
        assert word not in whole
    assert sent.extra_headers["Message-ID"].startswith("<")


@pytest.mark.parametrize("contact", [ContactBy.TEXT, ContactBy.PHONE, ContactBy.NONE])
def test_text_and_phone_go_to_the_call_list_only(built: Built, contact: ContactBy) -> None:
    client_id = open_client(built)
    writes_to(built, client_id, contact)
    discharged(built, client_id)
    run_due_jobs()
    assert first_open(built, client_id)["channel"] == "list_only"
    assert mail.outbox == []


def test_asking_twice_calls_once(built: Built) -> None:
    client_id = open_client(built)
    writes_to(built, client_id, ContactBy.MAIL)
    discharged(built, client_id)
    one = UUID(first_open(built, client_id)["id"])
    for _ in range(3):
        doing(built, lambda uow: recheck_put_on_call_list(uow, client_id=client_id, recheck_id=one))
        run_due_jobs()
    assert len(mail.outbox) == 1


def test_range_lost_beyond_error_brings_the_stretch_back(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    run_due_jobs()
    answer = measure(api, client_id, 165, new_pain=True)
    assert [one["outcome"] for one in answer["rechecks"]] == ["regressed"]
    assert {one["code"] for one in answer["warnings"]} == {
        "second_reading",
        "range_regressed",
        "refer",
    }
    (stretch,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert (stretch["status"], stretch["resumed"]) == ("active", 1)
    assert ok(api.get("rechecks", {"client_id": str(client_id), "open": "true"}))["results"] == []
    assert not ScheduledJob.objects.filter(
        subject=client_id, kind="recheck", status=ScheduledJob.Status.WAITING
    ).exists()


def test_range_within_the_error_moves_on_to_the_next_interval(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    run_due_jobs()
    answer = measure(api, client_id, 174)
    assert [one["outcome"] for one in answer["rechecks"]] == ["maintained"]
    assert first_open(built, client_id)["months"] == 6


def test_the_desk_sees_the_call_list_without_degrees(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id)
    measure(built.api(Role.PRACTITIONER), client_id, 174)
    wanted = {"client_id": str(client_id), "status": "maintained"}
    (desk,) = ok(built.api(Role.FRONT_DESK).get("rechecks", wanted))["results"]
    assert "evaluations" not in desk
    assert "refer" not in desk
    (clinical,) = ok(built.api(Role.PRACTITIONER).get("rechecks", wanted))["results"]
    assert clinical["evaluations"]["readings"][0]["change"] == -6


def test_the_call_list_is_filtered(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    discharged(built, client_id)
    everything = ok(desk.get("rechecks"))["results"]
    assert [one["months"] for one in everything] == [2, 6, 12]
    soon = ok(desk.get("rechecks", {"to": clock.now().date().isoformat()}))["results"]
    assert [one["months"] for one in soon] == [2]
    assert soon[0]["overdue"] is True
    other = {"facility_id": str(built.west.pk)}
    assert ok(desk.get("rechecks", other))["results"] == []
    assert refused(desk.get("rechecks", {"colour": "red"}), 400, "unknown_parameter")


def test_another_places_desk_does_not_see_it(built: Built) -> None:
    client_id = open_client(built)
    discharged(built, client_id)
    Recheck.objects.update(facility_id=built.west.pk)
    assert ok(built.api(Role.FRONT_DESK).get("rechecks"))["results"] == []
    one = Recheck.objects.first()
    assert one is not None
    refused(built.api(Role.FRONT_DESK).get(f"rechecks/{one.pk}"), 404, "not_found")


def test_skipping_takes_a_reason(built: Built) -> None:
    client_id, desk = open_client(built), built.api(Role.FRONT_DESK)
    discharged(built, client_id)
    one = first_open(built, client_id)["id"]
    assert refused(desk.post(f"rechecks/{one}/skip", {}), 400, "invalid")
    assert ok(desk.post(f"rechecks/{one}/skip", {"reason": "abroad"}))["status"] == "skipped"
    assert first_open(built, client_id)["months"] == 6


def test_at_goal_discharge_is_proposed_and_the_practitioner_decides(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = ok(
        api.post(
            f"clients/{client_id}/stretches",
            {
                "stretch": STRETCH,
                "side": "right",
                "doses": [{"technique": "active_isolated", "repetitions": 30, "hold_seconds": 2}],
            },
        ),
        201,
    )
    assert "usual is 10 to 12" in made["warnings"][0]["text"]
    assert made["missing"] == ["shoulder abduction right"]
    ok(api.post(f"stretches/{made['id']}/start"))
    measure(api, client_id, 150)
    (short_of_goal,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert (short_of_goal["discharge_proposed"], short_of_goal["short_of_goal"]) == (
        False,
        ["shoulder abduction right 150°, goal 180°"],
    )
    problem = refused(api.post(f"stretches/{made['id']}/discharge", {}), 400, "invalid")
    assert problem["errors"][0]["field"] == "reason"
    measure(api, client_id, 180)
    (there,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert there["discharge_proposed"] is True
    assert there["status"] == "active"


def test_a_stale_version_is_told_so(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    wanted = {"stretch": STRETCH, "side": "right"}
    problem = refused(
        api.post(f"clients/{client_id}/stretches", wanted, match=1), 412, "stale_version"
    )
    now = problem["current_version"]
    ok(api.post(f"clients/{client_id}/stretches", wanted, match=now), 201)


@pytest.mark.parametrize(
    ("wanted", "field"),
    [
        ({"stretch": "no_such", "side": "right"}, "stretch"),
        ({"stretch": STRETCH, "side": "both"}, "side"),
        ({"stretch": "chest_arms_out", "side": "left"}, "side"),
        (
            {"stretch": STRETCH, "side": "right", "occurred_at": "2999-01-01T10:00:00Z"},
            "occurred_at",
        ),
        ({"stretch": STRETCH, "side": "right", "techniques": ["magic"]}, "techniques"),
    ],
)
def test_what_cannot_be_prescribed_names_its_field(
    built: Built, wanted: dict[str, str], field: str
) -> None:
    client_id = open_client(built)
    answer = built.api(Role.PRACTITIONER).post(f"clients/{client_id}/stretches", wanted)
    problem = refused(answer, 400, "invalid")
    assert problem["errors"][0]["field"].startswith(field)


def test_a_practitioner_brings_a_stretch_back_and_ends_it(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    step = f"stretches/{discharged(built, client_id)['id']}"
    back = ok(api.post(f"{step}/resume", {"reason": "feels tight"}))
    assert (back["status"], back["resumed_reason"]) == ("active", "feels tight")
    assert ok(api.post(f"{step}/end", {"reason": "moved away"}))["status"] == "ended"
    refused(api.post(f"{step}/resume", {"reason": "again"}), 409, "wrong_standing")
    assert set(Recheck.objects.values_list("status", flat=True)) == {"ended"}


def test_the_read_tables_are_made_again_to_identical_rows(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    run_due_jobs()
    measure(api, client_id, 160)
    assert rebuild.compare().differences == []


def test_the_history_tells_it_in_sentences(built: Built) -> None:
    from clients.record.selectors import client_history

    client_id = open_client(built)
    discharged(built, client_id)
    told = str(client_history(client_id))
    assert "Discharged from a stretch, at goal" in told
    assert days_ago(70)[:4] in told


def test_readings_since_a_discharge_entered_late_answer_its_re_checks(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 176, occurred_at=days_ago(140))  # two months after, entered at its time
    measure(api, client_id, 175, occurred_at=days_ago(15))  # six months after
    discharged(built, client_id, days=200)
    rows = Recheck.objects.filter(client_id=client_id).order_by("months")
    assert [(one.months, one.status) for one in rows] == [
        (2, "maintained"),
        (6, "maintained"),
        (12, "planned"),
    ]
    run_due_jobs()
    assert mail.outbox == []


def test_a_loss_since_a_discharge_entered_late_brings_the_stretch_back(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 160, occurred_at=days_ago(140))
    assert discharged(built, client_id, days=200)["status"] == "active"
    rows = Recheck.objects.filter(client_id=client_id).order_by("months")
    assert [one.status for one in rows] == ["regressed", "ended", "ended"]


def test_when_the_client_leaves_stretches_and_re_checks_end(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    path = f"clients/{client_id}/stretches/end"
    refused(api.post(path, {}), 400, "invalid")
    ok(api.post(path, {"reason": "moved away"}), 204)
    ok(api.post(path, {"reason": "again"}), 204)
    assert set(Recheck.objects.values_list("status", flat=True)) == {"ended"}
    assert run_due_jobs().done == 0


def test_the_record_as_known_on_an_earlier_day_has_no_later_entry(built: Built) -> None:
    from clients.record.selectors import client_as_known

    client_id = open_client(built)
    before = clock.now()
    discharged(built, client_id, days=70)
    assert client_as_known(client_id, known_at=before)["more"]["stretches"]["stretches"] == []
    now = client_as_known(client_id)["more"]
    assert len(now["stretches"]["rechecks"]) == 3
    assert [one["degrees"] for one in now["measurements"]["readings"]] == [180]


def test_a_technique_that_is_not_permitted_now_is_kept_with_its_reasons(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    day = clock.now().date() - timedelta(weeks=5)
    operation = Operation(id=uuid4(), kind=OperationKind.MASTECTOMY, side=Side.RIGHT, on=day)
    tell(built, client_id, reviewed(operations=(operation,)))
    sent = {"stretch": STRETCH, "side": "right", "techniques": ["passive", "active_isolated"]}
    made = ok(api.post(f"clients/{client_id}/stretches", sent), 201)
    assert made["status"] == "prescribed"
    told = [one for one in made["warnings"] if one["code"] == "not_permitted_now"]
    assert [one["text"].split(" is ")[0].lower() for one in told] == ["passive"]
    assert "8" in told[0]["text"]
    assert told[0]["source"]


def test_the_call_list_says_whether_the_client_is_coming_already_at_a_constant_count(
    built: Built,
) -> None:
    clients = [open_client(built) for _ in range(3)]
    for number, client_id in enumerate(clients):
        discharged(built, client_id)
        if number:
            book(built, client_id, local(5 + number))
            book(built, client_id, local(9 + number))
    desk = built.api(Role.FRONT_DESK)
    counted: list[int] = []
    for asked in ({"client_id": str(clients[0]), "open": "true"}, {"open": "true"}):
        with CaptureQueriesContext(connection) as sent:
            found = ok(desk.get("rechecks", asked))["results"]
        counted.append(len(sent))
    coming = {one["client_id"]: one["next_session_at"] for one in found}
    assert coming[str(clients[0])] is None
    for number in (1, 2):
        assert moment(coming[str(clients[number])]) == moment(local(5 + number))
    assert counted[0] == counted[1]
