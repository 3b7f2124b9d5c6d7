"""Examples of a session as it takes place, of its note, of what is measured and prescribed."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.calendar import booked
from tests.api.prepared.practice import Before, Make, Prepared
from tests.builders import ok
from tests.sessions.booking.http import WELL
from tests.sessions.notes.http import whole_note


def _of_today(p: Prepared, **more: Any) -> str:
    """A session of this morning that took place."""
    return booked(p, "2026-03-09T10:00:00-04:00", attendance="attended", answers={**WELL, **more})


def _today(p: Prepared) -> None:
    p.made["session"] = _of_today(p)


def arrived(p: Prepared, **answers: Any) -> None:
    p.made["session"] = booked(p, "2026-03-09T12:10:00-04:00")
    path = f"sessions/{p.id('session')}/arrival"
    p.post(path, {**WELL, **answers}, Role.FRONT_DESK)


def _opened(p: Prepared) -> None:
    arrived(p)
    p.post(f"sessions/{p.id('session')}/opening", {}, Role.PRACTITIONER)


def _draft(p: Prepared, method: str = "PATCH", sequence: int = 1, match: int = 0) -> None:
    body = {"device": "tablet", "sequence": sequence, **whole_note()}
    path = f"sessions/{p.id('session')}/note"
    p.match = ok(p.api(Role.PRACTITIONER).send(method, path, body, match=match))["revision"]


def _before_the_first_save(p: Prepared) -> None:
    _today(p)
    p.match = 0


def drafted(p: Prepared) -> None:
    _today(p)
    _draft(p)


def signed(p: Prepared) -> None:
    p.made.setdefault("session", _of_today(p))
    _draft(p)
    path = f"sessions/{p.id('session')}/note/signature"
    p.post(path, {}, Role.PRACTITIONER, match=p.match)
    p.match = None


def _unsent(p: Prepared) -> None:
    signed(p)
    path = f"sessions/{p.id('session')}/note"
    late = {"device": "phone", "sequence": 1, "plan": "Go on."}
    saved = p.api(Role.PRACTITIONER).patch(path, late, match=1)
    p.match = ok(saved)["revision"]


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


def _finding(p: Prepared) -> str:
    body = {"finding": "rounded_shoulders", "severity": "mild"}
    return str(p.post(f"clients/{p.id('client')}/posture", body, Role.PRACTITIONER)["id"])


def _circumferences(p: Prepared) -> str:
    arm = [16.5, 18.0, 20.5]
    body = {"left": arm, "right": arm, "interval_cm": 4}
    path = f"clients/{p.id('client')}/circumferences"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _prescription(p: Prepared) -> str:
    body = {"stretch": "abduction_pattern", "side": "left", "facility_id": p.id("facility")}
    path = f"clients/{p.id('client')}/stretches"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _started(p: Prepared) -> None:
    p.post(f"stretches/{p.id('prescription')}/start", {}, Role.PRACTITIONER)


def _measured(p: Prepared) -> None:
    _reading(p)
    _started(p)


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


THINGS: Final[dict[str, Make]] = {
    "reading": _reading,
    "finding": _finding,
    "circumferences": _circumferences,
    "prescription": _prescription,
    "home_exercise": _home_exercise,
    "recheck": _recheck,
}

BEFORE: Final[dict[str, Before]] = {
    "session-correction-POST": arrived,
    "session-opening-POST": arrived,
    "session-stop-POST": _opened,
    "red-flag-clearance-POST": lambda p: arrived(p, new_symptoms=["new_swelling"]),
    "words-review-POST": lambda p: arrived(p, other_symptoms="my hand tingles"),
    "session-note-PUT": _before_the_first_save,
    "session-note-PATCH": _before_the_first_save,
    "note-lines-POST": _before_the_first_save,
    "note-signature-POST": drafted,
    "note-addenda-POST": signed,
    "note-in-error-POST": signed,
    "note-unsent-discard-POST": _unsent,
    "stretch-resume-POST": _discharged,
    "stretch-discharge-POST": _measured,
    "stretches-end-POST": _started,
}
