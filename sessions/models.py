"""The features' models, imported for Django alone."""

import sessions.calendar.models
import sessions.catalogue.models
import sessions.feeds.models
import sessions.goals.models
import sessions.held_slots.models
import sessions.incidents.models
import sessions.kinds.models
import sessions.measurements.models
import sessions.notes.models
import sessions.series.models
import sessions.stretches.models
import sessions.travel.models
import sessions.waiting_list.models
