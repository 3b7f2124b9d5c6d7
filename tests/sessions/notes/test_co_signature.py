"""Who may co-sign, what a co-signature needs, what an addendum does to it (rulings 24, 43)."""

from __future__ import annotations

import dataclasses
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from practice.core.reasons import Reason, Rejected
from practice.core.terms import Credential
from sessions.notes.domain.co_signature_events import (
    CoSignatureRequired,
    NoteCoSigned,
    NoteReturned,
)
from sessions.notes.domain.co_signature_texts import awaited_text, nobody_can, status_text
from sessions.notes.domain.co_signatures import (
    CO_SIGNATURES,
    CoSignature,
    CoSignatures,
    CoSignatureStatus,
)
from sessions.notes.domain.co_signers import (
    CoSigner,
    NoteWork,
    Standing,
    bars_of,
    decide_co_sign,
    decide_return,
    required_later,
)
from sessions.notes.domain.co_signers_named import (
    decide_name_co_signer,
    decide_take_return_back,
)
from sessions.notes.domain.events import AddendumAdded
from tests.clients.permissions import given as g
from tests.dsl import context, given
from tests.sessions.booking.examples import FACILITY, PRACTITIONER_ID, SESSION
from tests.sessions.notes.examples import NOTE, notes_of, signed_note

replace = msgspec.structs.replace
DAY, TODAY = date(2026, 3, 2), date(2026, 3, 9)
SUPERVISOR, SUPERVISION = UUID(int=801), UUID(int=802)
ROSA = replace(g.THERAPIST, practitioner_id=SUPERVISOR)
LICENCE = ROSA.licences[0]
WORK = NoteWork(
    author_id=PRACTITIONER_ID,
    credential=Credential.PHYSICAL_THERAPIST_ASSISTANT,
    facility_id=FACILITY,
    day=DAY,
)
STANDING = Standing(jurisdiction=LICENCE.jurisdiction, today=TODAY, works_at=True, entitled=True)
WHO = CoSigner(
    supervision_id=SUPERVISION,
    practitioner_id=SUPERVISOR,
    name="Rosa",
    credential=Credential.PHYSICAL_THERAPIST,
    named=True,
)
WHY = (Reason(code="co_signature.law", text="By law.", source="the law"),)
REQUIRED = CoSignatureRequired(note_id=NOTE, session_id=SESSION, reasons=WHY)
BY: dict[str, Any] = {
    "practitioner_id": SUPERVISOR,
    "credential": WHO.credential,
    "supervision_id": SUPERVISION,
}
CO_SIGNED = NoteCoSigned(note_id=NOTE, session_id=SESSION, **BY)
RETURNED = NoteReturned(note_id=NOTE, session_id=SESSION, reason="Why?", **BY)
ADDENDUM = AddendumAdded(
    addendum_id=UUID(int=803),
    note_id=NOTE,
    session_id=SESSION,
    practitioner_id=PRACTITIONER_ID,
    text="Left arm.",
)


def folded(*events: Any) -> CoSignatures:
    state: CoSignatures = given(CO_SIGNATURES, *events).state
    return state


def bars(**changes: Any) -> tuple[str, ...]:
    """What bars Rosa, with some of it otherwise."""
    person = {one: changes.pop(one) for one in ("works_here", "licences") if one in changes}
    values = {name: getattr(STANDING, name) for name in STANDING.__slots__} | changes
    return bars_of(replace(ROSA, **person), WORK, Standing(**values))


def test_a_supervisor_licensed_there_on_both_days_may() -> None:
    assert bars() == ()
    assert bars(licences=(replace(LICENCE, valid_from=DAY, expires_on=TODAY),)) == ()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"works_here": False}, "has left"),
        ({"works_at": False}, "is not assigned to the facility"),
        (
            {"entitled": False},
            "as a physical therapist does not supervise a physical therapist assistant",
        ),
        (
            {"licences": (replace(LICENCE, expires_on=TODAY - timedelta(days=1)),)},
            f"has no licence in {LICENCE.jurisdiction} on {TODAY}",
        ),
        (
            {"licences": (replace(LICENCE, valid_from=DAY + timedelta(days=1)),)},
            f"has no licence in {LICENCE.jurisdiction} on {DAY}",
        ),
    ],
)
def test_each_thing_that_bars_is_said(changes: dict[str, Any], words: str) -> None:
    assert bars(**changes) == (words,)


def test_nobody_co_signs_their_own_note() -> None:
    own = replace(ROSA, practitioner_id=PRACTITIONER_ID)
    assert bars_of(own, WORK, STANDING) == ("nobody co-signs their own note",)


@pytest.mark.parametrize(
    ("events", "status", "awaited"),
    [
        ((), CoSignatureStatus.NOT_REQUIRED, False),
        ((ADDENDUM,), CoSignatureStatus.NOT_REQUIRED, False),
        ((REQUIRED,), CoSignatureStatus.WAITING, True),
        ((REQUIRED, ADDENDUM), CoSignatureStatus.WAITING, True),
        ((REQUIRED, RETURNED), CoSignatureStatus.RETURNED, True),
        ((REQUIRED, RETURNED, ADDENDUM), CoSignatureStatus.WAITING, True),
        ((REQUIRED, CO_SIGNED), CoSignatureStatus.CO_SIGNED, False),
        ((REQUIRED, CO_SIGNED, ADDENDUM), CoSignatureStatus.ADDENDUM_SINCE, False),
        ((REQUIRED, CO_SIGNED, ADDENDUM, ADDENDUM), CoSignatureStatus.ADDENDUM_SINCE, False),
        ((REQUIRED, CO_SIGNED, ADDENDUM, RETURNED), CoSignatureStatus.RETURNED, False),
        ((REQUIRED, CO_SIGNED, ADDENDUM, CO_SIGNED), CoSignatureStatus.CO_SIGNED, False),
    ],
)
def test_where_it_stands_and_whether_the_draw_waits(
    events: tuple[Any, ...], status: CoSignatureStatus, awaited: bool
) -> None:
    by = (SUPERVISOR,) if status is CoSignatureStatus.RETURNED else ()
    assert folded(*events).of(SESSION) == CoSignature(status, awaited, by)


def co_sign(*events: Any, who: CoSigner | None = WHO, words: str = "") -> Any:
    return decide_co_sign(notes_of(signed_note()), folded(*events), SESSION, who, words)


@pytest.mark.parametrize("events", [(REQUIRED,), (REQUIRED, CO_SIGNED, ADDENDUM)])
def test_a_co_signature_names_who_under_which_credential_by_which_supervision(
    events: tuple[Any, ...],
) -> None:
    assert co_sign(*events, words=" Agreed. ") == [replace(CO_SIGNED, words="Agreed.")]


@pytest.mark.parametrize(
    ("events", "code"),
    [
        ((), "co_signature_not_required"),
        ((REQUIRED, CO_SIGNED), "already_co_signed"),
        ((REQUIRED, RETURNED), "note_returned"),
    ],
)
def test_what_waits_for_none_is_not_co_signed(events: tuple[Any, ...], code: str) -> None:
    with pytest.raises(Rejected) as refused:
        co_sign(*events)
    assert (refused.value.code, refused.value.status) == (code, 409)


@pytest.mark.parametrize(
    "who",
    [None, CoSigner(**{**{n: getattr(WHO, n) for n in WHO.__slots__}, "bars": ("has left",)})],
)
def test_who_may_not_neither_co_signs_nor_returns(who: CoSigner | None) -> None:
    for decide in (decide_co_sign, decide_return):
        with pytest.raises(Rejected) as refused:
            decide(notes_of(signed_note()), folded(REQUIRED), SESSION, who, "Why?")
        assert (refused.value.code, refused.value.status) == ("may_not_co_sign", 403)


def test_a_return_says_why_and_may_be_said_twice() -> None:
    notes = notes_of(signed_note())
    for events in ((REQUIRED,), (REQUIRED, RETURNED)):
        found = decide_return(notes, folded(*events), SESSION, WHO, " Why? ")
        assert found == [RETURNED]
    with pytest.raises(Rejected) as refused:
        decide_return(notes, folded(REQUIRED), SESSION, WHO, "  ")
    assert (refused.value.status, set(refused.value.fields)) == (400, {"reason"})


def test_late_work_makes_only_a_note_wait_that_did_not() -> None:
    notes = notes_of(signed_note())
    assert required_later(notes, folded(), SESSION, WHY) == [REQUIRED]
    assert required_later(notes, folded(), SESSION, ()) == []
    for events in ((REQUIRED,), (REQUIRED, CO_SIGNED)):
        assert required_later(notes, folded(*events), SESSION, WHY) == []


def _other(name: str, *bars: str) -> CoSigner:
    values = {one: getattr(WHO, one) for one in WHO.__slots__}
    return CoSigner(**{**values, "name": name, "bars": bars})


def test_of_whom_it_waits_in_words() -> None:
    assert awaited_text([WHO, _other("Sol"), _other("Ann", "has left")]) == (
        "waits for the co-signature of Rosa or Sol."
    )
    assert nobody_can([WHO, _other("Ann", "has left")]) == []
    gone = [_other("Ann", "has left", "has no licence in US-PA on 2026-03-09")]
    assert nobody_can(gone) == ["Ann has left, has no licence in US-PA on 2026-03-09"]
    assert "nobody can give: Ann has left" in awaited_text(gone)
    assert nobody_can([]) == ["nobody is on record as supervisor of its author that day"]


def test_the_headline_says_the_worst() -> None:
    act = {
        "act": "co_signed",
        "practitioner_id": str(SUPERVISOR),
        "credential": "physical_therapist",
        "at": "2026-03-03T15:00:00+00:00",
        "words": "",
    }
    back = {**act, "act": "returned", "words": "Why?"}

    def text(status: CoSignatureStatus, *acts: dict[str, str]) -> str:
        return status_text(status, acts, [WHO], {SUPERVISOR: "Rosa"}, "America/New_York")

    done = "Co-signed by Rosa, physical therapist, on 2026-03-03 at 10:00."
    assert text(CoSignatureStatus.NOT_REQUIRED) == "No co-signature is required."
    assert text(CoSignatureStatus.WAITING) == "The note waits for the co-signature of Rosa."
    assert text(CoSignatureStatus.RETURNED, back) == (
        "Returned by Rosa, physical therapist, on 2026-03-03 at 10:00: Why?"
        " Its author answers by an addendum."
    )
    assert text(CoSignatureStatus.CO_SIGNED, back, act) == done
    assert text(CoSignatureStatus.ADDENDUM_SINCE, act) == (
        "An addendum came since the co-signature: the note waits for the co-signature of Rosa."
        f" {done}"
    )


@pytest.mark.parametrize("reason", ["", "  "])
def test_taking_a_return_back_and_naming_somebody_say_why(reason: str) -> None:
    notes, waiting = notes_of(signed_note()), folded(REQUIRED)
    returned = folded(REQUIRED, RETURNED)
    with pytest.raises(Rejected) as told:
        decide_take_return_back(notes, returned, SESSION, WHO, reason, SUPERVISOR)
    assert told.value.fields == {"reason": "Say why the return is taken back."}
    gone = dataclasses.replace(WHO, bars=("has left",))
    other = dataclasses.replace(WHO, practitioner_id=UUID(int=77), name="Sol")
    with pytest.raises(Rejected) as told:
        decide_name_co_signer(notes, waiting, SESSION, other, [gone], reason, context())
    assert set(told.value.fields) == {"reason"}
    (named,) = decide_name_co_signer(notes, waiting, SESSION, other, [gone], "Sol did.", context())
    assert (named.name, named.because, named.reason) == ("Sol", ("Rosa has left",), "Sol did.")
