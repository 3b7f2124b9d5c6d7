"""Papers that are waited for: what may be recorded of them, and where each then stands."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import pytest

from clients.health.domain.content import BodySite
from clients.identity.domain.events import ClientDetails
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.papers.domain import commands, decisions, events, orders_of_answers
from clients.papers.domain.events import AskedFor, AskedOf, PaperContent
from clients.papers.domain.holding import waits_for
from clients.papers.domain.paper import Paper, is_expiring, is_overdue
from clients.papers.domain.settings import PaperSettings
from clients.papers.domain.state import PAPERS, PapersState
from clients.papers.domain.terms import (
    AskedRole,
    PaperChannel,
    PaperKind,
    PaperOutcome,
    PaperStatus,
    PaperStepKind,
)
from practice.core.events import DatedEvent
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode, Region, Side
from tests.dsl import Scenario, context, given

TODAY = date(2026, 3, 2)
EVENING = datetime(2026, 3, 3, 3, 30, tzinfo=UTC)
"""22:30 of 2 March in the client's zone, another day in UTC."""
PAPER, ORDER = UUID(int=50), UUID(int=60)
SURGEON = AskedOf(name="Amara Whitfield", role=AskedRole.SURGEON)
DETAILS = ClientDetails(
    given_name="Mara", family_name="Lind", zone="America/New_York", birth_date=date(1971, 4, 23)
)
SETTINGS = PaperSettings(needed_days=14, expiring_days=30, other_papers=("operation report",))


def content(**changes: Any) -> PaperContent:
    values: dict[str, Any] = {
        "kind": PaperKind.CLEARANCE,
        "asked_of": SURGEON,
        "asked_on": date(2026, 2, 20),
        "needed_by": date(2026, 3, 10),
    }
    return PaperContent(**values | changes)


def asked(**changes: Any) -> events.PaperAsked:
    return events.PaperAsked(paper_id=PAPER, content=content(**changes), zone=DETAILS.zone)


def answered(outcome: PaperOutcome = PaperOutcome.GIVEN, **more: Any) -> events.PaperAnswered:
    return events.PaperAnswered(
        paper_id=PAPER,
        step_id=UUID(int=71),
        answered_on=date(2026, 2, 28),
        answered_by="Amara Whitfield",
        outcome=outcome,
        **more,
    )


WITHDRAWN = events.PaperWithdrawn(
    paper_id=PAPER, step_id=UUID(int=72), withdrawn_on=TODAY, reason="another surgeon"
)


def papers(*happened: Any) -> Scenario:
    return given(PAPERS, *happened)


def the_paper(*happened: Any) -> Paper:
    found: Paper = papers(*happened).state.papers[PAPER]
    return found


def ask(**changes: Any) -> Any:
    command = commands.AskForPaper(**{"kind": PaperKind.REFERRAL, "asked_of": SURGEON, **changes})
    return decisions.ask_for_paper(command, DETAILS, SETTINGS, context(EVENING))


def test_a_paper_is_asked_for_on_the_clients_own_day_and_needed_by_the_setting() -> None:
    (event,) = ask()
    assert event.content.asked_on == TODAY, "the day at the client's facility, not that in UTC"
    assert event.content.needed_by == date(2026, 3, 16)
    assert event.needed_by_setting
    (event,) = ask(asked_on=date(2026, 2, 1), needed_by=date(2026, 2, 1))
    assert (event.content.asked_on, event.content.needed_by) == (date(2026, 2, 1),) * 2
    assert not event.needed_by_setting


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"asked_on": date(2026, 3, 3)}, "asked_on"),
        ({"asked_on": date(1971, 4, 22)}, "asked_on"),
        ({"needed_by": date(2026, 3, 1)}, "needed_by"),
        ({"expires_on": date(2026, 3, 1)}, "expires_on"),
        ({"title": "operation report"}, "title"),
        ({"kind": PaperKind.OTHER}, "title"),
        ({"kind": PaperKind.OTHER, "title": "a wish"}, "title"),
    ],
)
def test_a_paper_that_cannot_be_is_400_with_the_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(Rejected) as refused:
        ask(**changes)
    assert (refused.value.status, list(refused.value.fields)) == (400, [field])


def test_a_paper_of_the_practices_own_list_has_its_title() -> None:
    (event,) = ask(kind=PaperKind.OTHER, title="operation report")
    assert event.content.title == "operation report"


SEND = commands.SendPaper(channel=PaperChannel.FAX)


def send(state: PapersState, ctx: Any) -> Any:
    return decisions.send_paper(state, PAPER, SEND, ctx)


def remind(state: PapersState, ctx: Any) -> Any:
    return decisions.remind_of_paper(state, PAPER, SEND, ctx)


def answer(state: PapersState, ctx: Any, **changes: Any) -> Any:
    command = commands.AnswerPaper(**{"outcome": PaperOutcome.GIVEN, **changes})
    return decisions.answer_paper(state, [order()], DETAILS, PAPER, command, ctx)


def withdraw(state: PapersState, ctx: Any) -> Any:
    return decisions.withdraw_paper(state, PAPER, commands.EndPaper(reason="moved"), ctx)


def order(kind: OrderKind = OrderKind.CLEARANCE) -> MedicalOrder:
    return MedicalOrder(
        id=ORDER,
        kind=kind,
        prescriber=Prescriber.SURGEON,
        prescriber_name="Amara Whitfield",
        given_on=TODAY,
    )


@pytest.mark.parametrize("act", [send, remind, answer, withdraw])
@pytest.mark.parametrize(
    ("ended_by", "code"), [(answered(), "paper_answered"), (WITHDRAWN, "paper_withdrawn")]
)
def test_what_is_not_waited_for_is_not_sent_reminded_answered_or_withdrawn(
    act: Any, ended_by: Any, code: str
) -> None:
    papers(asked(), ended_by).when(act).rejected(code)


@pytest.mark.parametrize("act", [send, remind, answer, withdraw])
def test_nobody_acts_on_a_paper_that_is_not_on_record(act: Any) -> None:
    papers().when(act).rejected("not_found")


def test_a_second_sending_and_each_reminder_is_one_more_step() -> None:
    sent = events.PaperSent(
        paper_id=PAPER, step_id=UUID(int=73), sent_on=date(2026, 2, 21), channel=PaperChannel.MAIL
    )
    papers(asked(), sent).when(send).then(
        events.PaperSent(
            paper_id=PAPER, step_id=UUID(int=1000), sent_on=TODAY, channel=PaperChannel.FAX
        )
    )
    papers(asked(), sent).when(remind).then(
        events.PaperReminded(
            paper_id=PAPER, step_id=UUID(int=1000), reminded_on=TODAY, channel=PaperChannel.FAX
        )
    )


@pytest.mark.parametrize(
    ("day", "right"),
    [
        (date(2026, 2, 19), False),
        (date(2026, 2, 20), True),
        (TODAY, True),
        (date(2026, 3, 3), False),
    ],
)
def test_a_step_lies_between_the_asking_and_today(day: date, right: bool) -> None:
    command = commands.SendPaper(channel=PaperChannel.FAX, on=day)
    state = papers(asked()).state
    if right:
        (event,) = decisions.send_paper(state, PAPER, command, context(EVENING))
        assert event.sent_on == day
        return
    with pytest.raises(Rejected) as refused:
        decisions.send_paper(state, PAPER, command, context(EVENING))
    assert list(refused.value.fields) == ["on"]


def test_an_answer_names_who_was_asked_and_the_order_and_opens_nothing() -> None:
    scenario = papers(asked()).when(lambda state, ctx: answer(state, ctx, order_id=ORDER))
    (event,) = scenario.decided or ()
    assert isinstance(event, events.PaperAnswered), "no order comes of an answer by itself"
    assert (event.answered_by, event.order_id) == ("Amara Whitfield", ORDER)


def test_a_refused_clearance_is_filed_as_the_restriction_of_what_was_asked_for() -> None:
    """Common practice, no source: what a surgeon refuses is not done meanwhile."""
    said = {"outcome": PaperOutcome.REFUSED, "words": "No stretching by hand until seen again."}
    for_the_arm = AskedFor(sites=(BodySite(region=Region.ARM, side=Side.LEFT),))
    scenario = papers(asked(asked_for=for_the_arm)).when(lambda s, ctx: answer(s, ctx, **said))
    restriction, event = scenario.decided or ()
    assert isinstance(restriction, DatedEvent)
    assert isinstance(event, events.PaperAnswered)
    filed: MedicalOrder = restriction.event.order  # type: ignore[attr-defined]
    assert (filed.kind, filed.prescriber) == (OrderKind.RESTRICTION, Prescriber.SURGEON)
    assert (filed.widest_mode, filed.sites) == (Mode.SELF_DIRECTED, for_the_arm.sites)
    assert (filed.prescriber_name, filed.text) == ("Amara Whitfield", said["words"])
    assert (filed.given_on, filed.expires_on, event.order_id) == (TODAY, None, filed.id)


@pytest.mark.parametrize(
    ("paper", "said"),
    [
        ({}, {"outcome": PaperOutcome.PARTLY}),
        ({}, {"outcome": PaperOutcome.GIVEN}),
        ({}, {"outcome": PaperOutcome.REFUSED, "order_id": ORDER}),  # filed by a practitioner
        ({"kind": PaperKind.PLAN_SIGNATURE}, {"outcome": PaperOutcome.REFUSED}),
        ({"kind": PaperKind.REFERRAL}, {"outcome": PaperOutcome.REFUSED}),
    ],
)
def test_no_other_answer_files_an_order(paper: dict[str, Any], said: dict[str, Any]) -> None:
    scenario = papers(asked(**paper)).when(lambda state, ctx: answer(state, ctx, **said))
    (event,) = scenario.decided or ()
    assert isinstance(event, events.PaperAnswered)
    assert event.order_id == said.get("order_id")


def test_a_refusal_by_another_than_the_surgeon_is_a_physicians() -> None:
    asked_of = AskedOf(name="Ivo Brandt", role=AskedRole.PHYSICIAN)
    refused = papers(asked(asked_of=asked_of)).when(
        lambda state, ctx: answer(state, ctx, outcome=PaperOutcome.REFUSED)
    )
    restriction = (refused.decided or ())[0]
    assert isinstance(restriction, DatedEvent)
    filed: MedicalOrder = restriction.event.order  # type: ignore[attr-defined]
    assert (filed.prescriber, filed.sites) == (Prescriber.PHYSICIAN, ())
    assert filed.text, "a restriction says what it is even without their words"


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"outcome": PaperOutcome.REFUSED, "expires_on": date(2026, 9, 1)}, "expires_on"),
        ({"expires_on": date(2026, 3, 1)}, "expires_on"),
        ({"answered_on": date(2026, 3, 3)}, "answered_on"),
        ({"order_id": UUID(int=61)}, "order_id"),
    ],
)
def test_an_answer_that_cannot_be_is_400(changes: dict[str, Any], field: str) -> None:
    state = papers(asked()).state
    with pytest.raises(Rejected) as refused:
        answer(state, context(), **changes)
    assert (refused.value.status, list(refused.value.fields)) == (400, [field])


@pytest.mark.parametrize(
    ("asked_for", "filed", "fits"),
    [
        (PaperKind.CLEARANCE, OrderKind.CLEARANCE, True),
        (PaperKind.CLEARANCE, OrderKind.RESTRICTION, True),
        (PaperKind.CLEARANCE, OrderKind.PLAN_SIGNATURE, False),
        (PaperKind.PLAN_SIGNATURE, OrderKind.PLAN_SIGNATURE, True),
        (PaperKind.PLAN_SIGNATURE, OrderKind.CLEARANCE, False),
        (PaperKind.REFERRAL, OrderKind.CLEARANCE, False),
    ],
)
def test_the_order_of_an_answer_is_of_the_papers_kind(
    asked_for: PaperKind, filed: OrderKind, fits: bool
) -> None:
    state = papers(asked(kind=asked_for), answered()).state
    command = commands.LinkOrder(order_id=ORDER)

    def link() -> Any:
        return decisions.link_order(state, [order(filed)], PAPER, command, context())

    if fits:
        (event,) = link()
        assert event.order_id == ORDER
        return
    with pytest.raises(Rejected) as refused:
        link()
    assert refused.value.status == 400


def test_an_order_is_linked_to_an_answer_once() -> None:
    command = commands.LinkOrder(order_id=ORDER)

    def link(state: PapersState, ctx: Any) -> Any:
        return decisions.link_order(state, [order()], PAPER, command, ctx)

    papers(asked()).when(link).rejected("paper_not_answered")
    papers(asked(), answered(order_id=ORDER)).when(link).then()
    linked = events.PaperOrderLinked(
        paper_id=PAPER, step_id=UUID(int=74), linked_on=TODAY, order_id=ORDER
    )
    assert the_paper(asked(), answered(), linked).order_ids == (ORDER,)


def in_error(step: int, kind: PaperStepKind) -> events.PaperStepInError:
    return events.PaperStepInError(
        paper_id=PAPER, step_id=UUID(int=step), step=kind, reason="of another client"
    )


def test_what_is_taken_back_counts_no_more_and_stays_in_the_history() -> None:
    paper = the_paper(asked(), answered(order_id=ORDER), in_error(71, PaperStepKind.ANSWERED))
    assert (paper.status, paper.answer, paper.order_ids) == (PaperStatus.WAITING, None, ())
    assert [one.in_error for one in paper.steps] == ["of another client"]
    assert the_paper(asked(), WITHDRAWN, in_error(72, PaperStepKind.WITHDRAWN)).status is (
        PaperStatus.WAITING
    )


def test_a_step_is_taken_back_once() -> None:
    def take_back(state: PapersState, _ctx: Any) -> Any:
        command = commands.TakeStepBack(step_id=UUID(int=71), reason="of another client")
        return decisions.take_step_back(state, PAPER, command)

    papers(asked()).when(take_back).rejected("not_found")
    papers(asked(), answered()).when(take_back).then(in_error(71, PaperStepKind.ANSWERED))
    papers(asked(), answered(), in_error(71, PaperStepKind.ANSWERED)).when(take_back).rejected(
        "step_in_error_already"
    )


def correct(**changes: Any) -> Any:
    command = commands.CorrectPaper(reason="misread", **changes)
    return lambda state, ctx: decisions.correct_paper(state, PAPER, command, DETAILS, SETTINGS, ctx)


def corrected(**changes: Any) -> events.PaperCorrected:
    return events.PaperCorrected(paper_id=PAPER, content=content(**changes), reason="misread")


def test_a_correction_keeps_what_it_does_not_name() -> None:
    start = asked(expires_on=date(2026, 6, 1))
    kept = {"expires_on": date(2026, 6, 1)}
    papers(start).when(correct(needed_by=date(2026, 3, 12))).then(
        corrected(needed_by=date(2026, 3, 12), **kept)
    )
    papers(start).when(correct(expires_on=None)).then(corrected())
    papers(start).when(correct(needed_by=date(2026, 3, 10))).rejected("nothing_to_correct")
    report = asked(kind=PaperKind.OTHER, title="operation report")
    papers(report).when(correct(kind=PaperKind.REFERRAL)).then(corrected(kind=PaperKind.REFERRAL))


def test_a_correction_contradicts_nothing_that_happened_since() -> None:
    papers(asked(), answered()).when(correct(asked_on=date(2026, 2, 28))).then(
        corrected(asked_on=date(2026, 2, 28))
    )
    papers(asked(), answered()).when(correct(asked_on=date(2026, 3, 1))).rejected("invalid")
    papers(asked(), answered(order_id=ORDER)).when(correct(kind=PaperKind.REFERRAL)).rejected(
        "orders_linked"
    )


def test_the_last_day_is_that_of_the_answer_once_there_is_one() -> None:
    start = asked(expires_on=date(2026, 6, 1))
    assert the_paper(start).expires_on == date(2026, 6, 1)
    given_until = answered(expires_on=date(2026, 9, 1))
    assert the_paper(start, given_until).expires_on == date(2026, 9, 1)
    assert the_paper(start, answered()).expires_on is None
    assert the_paper(start, answered(PaperOutcome.REFUSED)).expires_on is None
    assert the_paper(start, WITHDRAWN).expires_on is None


def test_a_paper_is_overdue_from_the_day_after_it_was_needed() -> None:
    assert not is_overdue("waiting", TODAY, TODAY)
    assert is_overdue("waiting", date(2026, 3, 1), TODAY)
    assert not is_overdue("answered", date(2026, 3, 1), TODAY)


@pytest.mark.parametrize(
    ("last_day", "soon"),
    [
        (None, False),
        (date(2026, 3, 1), False),
        (TODAY, True),
        (date(2026, 4, 1), True),
        (date(2026, 4, 2), False),
    ],
)
def test_a_paper_expires_soon_within_the_lead_of_the_practice(
    last_day: date | None, soon: bool
) -> None:
    assert is_expiring(last_day, TODAY, 30) is soon


@pytest.mark.parametrize(
    ("kind", "subjects", "code", "waits"),
    [
        (PaperKind.CLEARANCE, (), "surgery.no_clearance", True),
        (PaperKind.CLEARANCE, (OrderSubject.STRETCHING,), "surgery.no_clearance", True),
        (PaperKind.CLEARANCE, (OrderSubject.LOAD,), "surgery.no_clearance", False),
        (PaperKind.CLEARANCE, (), "surgery.incision", False),
        (PaperKind.CLEARANCE, (), "law.without_physician", False),
        (PaperKind.PLAN_SIGNATURE, (), "law.without_physician", True),
        (PaperKind.REFERRAL, (), "law.without_physician", True),
        (PaperKind.REFERRAL, (), "surgery.no_clearance", False),
        (PaperKind.OTHER, (), "surgery.no_clearance", False),
    ],
)
def test_a_reason_waits_for_the_paper_that_would_answer_it(
    kind: PaperKind, subjects: tuple[OrderSubject, ...], code: str, waits: bool
) -> None:
    paper = content(kind=kind, asked_for=AskedFor(subjects=subjects))
    assert waits_for(paper, Reason(code=code, text="", source="")) is waits


def test_a_clearance_that_was_given_without_its_order_is_not_done() -> None:
    todo = orders_of_answers.answered_without_order
    assert todo(the_paper(asked(), answered()))
    assert todo(the_paper(asked(), answered(PaperOutcome.PARTLY)))
    assert not todo(the_paper(asked(), answered(order_id=ORDER)))
    assert not todo(the_paper(asked(), answered(PaperOutcome.REFUSED)))
    assert not todo(the_paper(asked(kind=PaperKind.REFERRAL), answered()))
    assert not todo(the_paper(asked()))
