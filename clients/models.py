"""The features' models, imported for Django alone."""

import clients.calls.models
import clients.consent.models
import clients.health.models
import clients.identity.models
import clients.orders.models
import clients.papers.models
import clients.preference.models
import clients.reminders.models
