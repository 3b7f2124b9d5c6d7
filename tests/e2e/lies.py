"""Wrong answers that the steps of the story must see: what is told, the field, a wrong value."""

from __future__ import annotations

from typing import Any

from tests.e2e.more_lies import MORE_LIES

LIES: dict[str, tuple[tuple[str, Any], ...]] = {
    **MORE_LIES,
    "two facilities in two states, Harbor Lane in US-CA and Mill Court in US-PA": (
        ("results.0.jurisdiction", "US-NV"),
        ("results.1.zone", "America/Chicago"),
    ),
    "four credentials": (("results.0.credential", "massage_therapist"),),
    "in US-CA a trainer may not stretch clients by hand; each row with its source": (
        ("results.0.allowance", "allowed"),
        ("results.1.source", ""),
    ),
    "accounts with roles": (("results.0.role", "owner"),),
    "a payer and its rule for units": (("results.0.unit_rule", "midpoint"),),
    "touch consent: regions, techniques, until when, how and by whom it was obtained": (
        ("until", None),
        ("form", "typed_name"),
        ("obtained_by", "Bruno Lindt"),
        ("techniques", ["active_isolated"]),
        ("regions", []),
        ("in_force", False),
    ),
    "the client prefers a woman, for all work": (("scope", "hands_on"), ("gender", "man")),
    "the payer's authorization: 12 visits, 48 units": (
        ("visits_authorized", 11),
        ("units_left", 47),
    ),
    "not hands-on before the review; health reasons stay with practitioners": (
        ("mode", "hands_on"),
        ("planned", "hands_on"),
        ("other_stretches", [{}]),
        ("reason_texts.1.text", "After the mastectomy."),
    ),
    "times of an hour with Ines at Harbor Lane": (
        ("results", []),
        ("results.0.ends_at", "2020-01-01T10:00:00-08:00"),
        ("results.0.practitioner_id", "another"),
    ),
    "booked as offered; planned self-directed: nothing is hands-on before the review": (
        ("planned_mode", "hands_on"),
        ("starts_at", "2020-01-01T10:00:00-08:00"),
        ("reasons", []),
    ),
    "sent twice by a bad line: the same answer": (("id", "another"), ("version", 1)),
    "and no second session": (("results", [{"id": "one"}, {"id": "two"}]),),
    "refused: the practitioner is taken then": (("taken", ["room"]),),
    "refused: the room is taken then": (("taken", ["client"]),),
    "refused: the client is taken then": (("taken", ["client", "room"]),),
    "refused: the client prefers a woman, for all work": (("code", "invalid"), ("reasons", [])),
    "the exception that the client agreed to": (("exceptions.0.until", "2020-01-01"),),
    "booked, self-directed: the law gives a trainer no hands-on stretching there": (
        ("planned_mode", "hands_on"),
        ("reasons", []),
    ),
    "the history as the desk was told it": (("status", "reviewed"), ("reports", [])),
    "reviewed with the client before the session: neck asked, no clearance needed": (
        ("reviewed.neck", "not_asked"),
        ("reviewed.clearance_need", "not_asked"),
        ("reviewed_at", "2020-01-01T10:00:00Z"),
    ),
    "the surgeon's clearance, which names techniques, sites and an end": (
        ("results.0.techniques", []),
        ("results.0.sites", []),
        ("results.0.expires_on", None),
        ("results.0.prescriber", "physician"),
    ),
    "the client walked in earlier; entered now, self-directed until asked": (
        ("late_entry", False),
        ("planned_mode", "hands_on"),
        ("hands_on_today", "yes"),
    ),
    "the arrival answers: no red flag, no needle in the port: it may be by hand": (
        ("permissions.mode", "self_directed"),
        ("permissions.refer_to", ["Refer to a physician today."]),
        ("session.hands_on_today", "no"),
        ("session.flagged", True),
    ),
    "a reading of three weeks ago: 138°": (
        ("reading.degrees", 139),
        ("reading.taken_at", "2020-01-01T10:00:00Z"),
    ),
    "the abduction pattern is prescribed to the client": (("stretch", "flexion_pattern"),),
    "the session is opened; the answer is the plan in short, at most about 5 KB": (
        ("opened_at", None),
        ("headline", ""),
        ("programme", []),
        ("readings", []),
    ),
    "what may be done hands-on, why not the rest, stretches, readings, the split": (
        ("split.suggested.0.minutes", 1),
        ("programme", []),
        ("readings", []),
        ("answers.pain_now", 9),
        ("other_stretches.hands_on", 0),
    ),
    "the tablet was behind, but wrote another field: merged, nothing lost": (
        ("note.subjective", ""),
        ("note.objective", ""),
        ("note.lines", []),
        ("merged", []),
    ),
    "the same field from behind: both values are shown": (
        ("collisions.0.yours", ""),
        ("collisions.0.current", ""),
    ),
    "the draft as it stands: neither value is lost": (
        ("draft.collisions.subjective", ["Slept well."]),
    ),
    "today's reading: 149°, eleven degrees gained, more than measurement error": (
        ("reading.comparisons", []),
    ),
    "the plan's lines, done as planned, with the response that was said of all": (
        ("written", []),
        ("note.minutes", {"stretching": 38}),
    ),
    "cardio, strength, minutes of each part, plan; the collision is settled": (
        ("collisions", {"subjective": ["one", "two"]}),
        ("note.cardio.0.heart_rate", 90),
        ("note.strength.0.side", "left"),
        ("note.minutes.cardio", 0),
        ("note.plan", ""),
    ),
    "signed: 60 minutes attended": (
        ("attended_minutes", 55),
        ("outside", [{}]),
        ("minutes.stretching", 0),
    ),
    "an addendum can be added; what was signed stands as it was": (
        ("addenda", []),
        ("subjective", "Slept well."),
        ("minutes.stretching", 40),
        ("signed_at", "2020-01-01T10:00:00Z"),
    ),
    "1 of 12 visits used; 38 + 10 minutes are 3 units of 48": (
        ("visits_used", 2),
        ("visits_left", 12),
        ("units_used", 4),
        ("units_left", 44),
    ),
    "the visit with its minutes, codes and units": (
        ("results.0.used_units", {"STRETCH15": 3}),
        ("results.0.timed_minutes", 55),
        ("results", []),
    ),
    "as CSV: one row for each visit and service code": (
        (",38,2,", ",38,3,"),
        (",10,1,", ",11,1,"),
        ("Ines Aldana", "Mira Osei"),
        ("EXERCISE15", "STRETCH15"),
    ),
    "and again: the same bytes": (("\r\n", "\n"),),
    "what was sent; nothing was corrected since": (("results.0.corrected_since_sent", True),),
    "the disclosure is on record: to whom, when, what and why": (
        ("results.0.recipient", ""),
        ("results.0.purpose", ""),
        ("results.0.what", "note"),
        ("results.0.disclosed_at", None),
        ("results", []),
    ),
    "discharged at the goal": (("status", "active"), ("at_goal", False)),
    "re-checks after 2, 6 and 12 months are planned": (
        ("results.0.months", 3),
        ("results.0.due_on", "2020-01-01"),
        ("results.1.status", "ended"),
        ("results", []),
    ),
    "by itself on the call list, once; reminder: mail": (
        ("results.0.channel", "list_only"),
        ("results", [{"months": 2, "channel": "mail"}] * 2),
    ),
    "by itself on the call list, once; reminder: list_only": (("results.0.channel", "mail"),),
    "165°: fifteen degrees lost, beyond measurement error": (
        ("rechecks.0.outcome", "maintained"),
        ("rechecks", []),
        ("reading.comparisons", []),
    ),
    "the stretch is prescribed again, by itself": (("results", []),),
    "and its remaining re-checks are cancelled": (
        ("results.0.status", "planned"),
        ("results.1.status", "planned"),
        ("results.2.status", "planned"),
    ),
    "the other client, 173°: five degrees lost, within measurement error": (
        ("rechecks.0.outcome", "regressed"),
        ("reading.comparisons", []),
    ),
    "held, on to the next interval": (
        ("results.0.status", "ended"),
        ("results.1.status", "ended"),
        ("results.2.status", "ended"),
    ),
    "the day sheet: time, client, phone, with whom, and what is missing in words": (
        ("people.p1", "Mira Osei"),
        ("texts", {}),
        ("sessions", []),
    ),
    "the client says that they come": (("confirmed_at", None), ("confirmed_how", "mail")),
    "and the sheet says so": (("sessions", []),),
    "the same to print against an outage": (("Castellan", "Castle"), ("+14155550188", "")),
    "a signed plan of care is asked of the physician": (
        ("status", "answered"),
        ("overdue", False),
        ("asked_of.name", "Dr. Perpetua Holm"),
    ),
    "sent by fax": (("steps", []), ("steps.0.channel", "mail")),
    "it stands among what is waited for and overdue": (("results.0.client_name", ""),),
    "the answer comes: signed": (("status", "waiting"), ("outcome", "refused")),
    "late times with Mira for the other client": (
        ("results", []),
        ("results.0.practitioner_id", "another"),
    ),
    "once a week for four weeks, in one request": (("booked", 0), ("occurrences", [])),
    "the whole series an hour earlier": (("moved", 0), ("refused", 1), ("occurrences", [])),
    "the client waits for a late time": (("status", "booked"), ("earliest", None)),
    "a session of the series is called off; who waits for the time is named": (
        ("waiting_fits.first", []),
        ("status", "booked"),
        ("cancelled_by", "practice"),
    ),
    "offered to the client": (("offers", []), ("offers.0.answer", "declined")),
    "accepted, and booked as any session is": (("client_id", "another"), ("status", "cancelled")),
    "a secret link for the calendar of Ines's phone": (("path", "/"), ("is_revoked", True)),
    "what a calendar program reads: times and initials, no name": (
        ("N. C.", "Noor Castellan"),
        ("BEGIN:VCALENDAR", "END:VCALENDAR"),
    ),
    "revoked, the link shows nothing any more": (("code", "invalid"),),
    "on the call list: which sessions narrowed, the phone, what time it is there": (
        ("results.0.client_phone", ""),
        ("results.0.reason", "recheck_due"),
        ("results.0.their_time", ""),
        ("results", []),
    ),
    "nobody answers: a message is left, and kept with who called": (
        ("called_by_name", ""),
        ("about", []),
    ),
    "the client calls back: contact, consent, next visits, what is left, all at once": (
        ("contact.phone", ""),
        ("consent.stands", True),
        ("next_visits", []),
        ("authorizations", []),
        ("last_calls", []),
    ),
    "told, and so off the list": (("outcome", "no_answer"), ("about", [])),
    "it holds all of the record: in this practice the owner gives it": (("status", 400),),
    "made in one request, with its SHA-256": (("sha256", ""), ("recipient", "the guardian")),
    "to print and hand over: every event in a sentence": (("Noor Castellan", "Somebody"),),
    "and it is on the client's accounting of disclosures": (("results", []),),
    "the booked session is planned anew, now hands-on": (("planned_mode", "self_directed"),),
    "withdrawn, upon a version long past: what narrows is never refused for it": (
        ("in_force", True),
        ("status", "granted"),
    ),
    "the session is flagged at once, and says why": (
        ("flagged", False),
        ("flag_reasons", []),
        ("mode", "hands_on"),
    ),
    "nothing is hands-on any more": (
        ("mode", "hands_on"),
        ("hands_on", "part"),
        ("hands_on_planned", "part"),
        ("programme.0.outcomes.0.mode", "hands_on"),
        ("other_stretches.0.by_side.0.hands_on", ["active_isolated"]),
    ),
    "every event: who, when it happened, when it was recorded": (
        ("results.0.recorded_by", None),
        ("results.3.version", 3),
        ("results", []),
    ),
    "as it was known yesterday: nothing yet, however far back the late entries reach": (
        ("details", {}),
        ("orders", [{}]),
        ("more.measurements.readings", [{}]),
    ),
    "who read the record, and who was refused": (("results", [{"outcome": "read"}]),),
    "every event of the log against its chain: no fault": (("events", 0), ("faults", ["one"])),
    "every column of every read table against the log: no difference": (
        ("events", 0),
        ("faults", ["one"]),
    ),
}
"""By the words of the step; a path is ``a.0.b``, in a text the words that are replaced."""
