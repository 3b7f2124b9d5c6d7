"""Settings: one readable file, everything that differs between places from the environment.

======================== ====================================================================
``PRACTICE_MODE``        ``development`` (default) or ``production``
``PRACTICE_VAR``         folder for everything that is made (default ``var/``)
``DATABASE_URL``         default: SQLite in that folder
``KEYS_DATABASE_URL``    a database apart for the data keys (default: the same database)
``REDIS_URL``            broker; default: folders under ``var/`` (production: required)
``PRACTICE_SECRET_KEY``  signs cursors and the like   | each 32 bytes in base64;
``PRACTICE_MASTER_KEY``  wraps the data keys          | production: required,
``PRACTICE_CHAIN_KEY``   seals the chain of events    | else made in ``var/keys/``
``PRACTICE_DIGESTS``     folder of the nightly digests (default ``digests/`` in that folder)
``PRACTICE_ERASURES``    file with the list of erasures (default ``erasures.jsonl`` there)
``ALLOWED_HOSTS``        names under which the API is asked, comma-separated
``DEBUG``                1 only while developing
``STATEMENT_SECONDS``    longest statement on PostgreSQL (default 30)
``KEPT_STATES_BYTES``    events folded and kept per process (default 16000000; 0 keeps none)
``PUBLIC_URL``           where clients reach the API: the link that ends mails
``PRACTICE_LOCALE``      folder of the practice's own translations of what clients read
``TEXT_PROVIDER``        class that carries texts (default: files under ``texts/``)
``TICK_SECONDS``         how often what is due is looked for (default 60)
``VISIBILITY_SECONDS``   after how long a lost worker's task is given to another (default 120)
======================== ====================================================================

In production mode a missing key, one that is not random or is used for two things, debug, a
wildcard host or a missing ``REDIS_URL`` stops the start and says what to set.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured

from practice.env import HOW_TO_MAKE_A_KEY, Env, database, private_folder
from practice.http.tags import ABOUT, TAGS

BASE_DIR = Path(__file__).resolve().parent.parent
env = Env()

MODE = env.text("PRACTICE_MODE", "development")
PRODUCTION = MODE == "production"
if MODE not in ("development", "production"):
    env.problems.append(f"PRACTICE_MODE is {MODE!r}: write development or production.")
VAR = BASE_DIR / env.text("PRACTICE_VAR", "var")
# Everything that this process and its children make is for its own user alone.
os.umask(0o077)
private_folder(VAR)

# --- Keys and hosts ------------------------------------------------------------------------

SECRET_KEY = env.key("PRACTICE_SECRET_KEY", VAR / "keys" / "secret.key", required=PRODUCTION)
PRACTICE_MASTER_KEY = env.key(
    "PRACTICE_MASTER_KEY", VAR / "keys" / "master.key", required=PRODUCTION
)
PRACTICE_CHAIN_KEY = env.key("PRACTICE_CHAIN_KEY", VAR / "keys" / "chain.key", required=PRODUCTION)
DEBUG = env.switch("DEBUG")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", "" if PRODUCTION else "localhost,127.0.0.1,[::1]")
if PRODUCTION and DEBUG:
    env.problems.append("DEBUG is on: it shows records in error pages. Unset it.")
if PRODUCTION:
    env.hosts("ALLOWED_HOSTS", ALLOWED_HOSTS)
    env.differ(
        PRACTICE_SECRET_KEY=SECRET_KEY,
        PRACTICE_MASTER_KEY=PRACTICE_MASTER_KEY,
        PRACTICE_CHAIN_KEY=PRACTICE_CHAIN_KEY,
    )

# --- Outside the database: what a restored backup cannot take back ---------------------------

PRACTICE_DIGESTS = env.text("PRACTICE_DIGESTS", str(VAR / "digests"))
PRACTICE_ERASURES = env.text("PRACTICE_ERASURES", str(VAR / "erasures.jsonl"))

# --- Databases -----------------------------------------------------------------------------


def _database(name: str, url: str) -> dict[str, Any]:
    try:
        found = database(url, statement_seconds=env.number("STATEMENT_SECONDS", 30))
    except ValueError as problem:
        env.problems.append(f"{name} is not understood: {problem}.")
        return {}
    if found["ENGINE"].endswith("sqlite3"):
        found["NAME"] = str(BASE_DIR / found["NAME"])
    return found


DATABASES = {
    "default": _database(
        "DATABASE_URL", env.text("DATABASE_URL", f"sqlite:///{VAR / 'practice.sqlite3'}")
    )
}
if KEYS_DATABASE_URL := env.text("KEYS_DATABASE_URL"):
    DATABASES["keys"] = _database("KEYS_DATABASE_URL", KEYS_DATABASE_URL)
# Stored bytes of the events in kept states (practice/work/kept_states.py).
KEPT_STATES_BYTES = env.number("KEPT_STATES_BYTES", 16_000_000)
DATABASE_ROUTERS = ["practice.keys.router.KeyRouter"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
FIXTURE_DIRS = [BASE_DIR / "fixtures"]

# --- Broker: it only wakes workers; what is due stands in the database -----------------------

REDIS_URL = env.text("REDIS_URL")
if PRODUCTION and not REDIS_URL:
    env.problems.append("REDIS_URL is missing: production has more than one process.")
elif REDIS_URL:
    env.broker("REDIS_URL", REDIS_URL)
CELERY_BROKER_URL = REDIS_URL or "filesystem://"
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any]
if REDIS_URL:
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        # A task in hand when its worker is killed comes back after this time; anything that
        # runs longer than it runs twice. Every task may therefore run any number of times.
        "visibility_timeout": env.number("VISIBILITY_SECONDS", 120),
        "unacked_restore_interval": 5,
        "unacked_restore_throttle": 1,
        # A request never waits long for a broker that is away.
        "socket_connect_timeout": 2,
        "socket_timeout": 5,
    }
else:
    _folder = VAR / "broker"
    for _name in ("messages", "control"):
        (_folder / _name).mkdir(parents=True, exist_ok=True)
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(_folder / "messages"),
        "data_folder_out": str(_folder / "messages"),
        "control_folder": str(_folder / "control"),
        "polling_interval": 0.05,  # Seconds; without it a task waits 9 seconds.
    }
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_PUBLISH_RETRY = False
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_TIME_LIMIT = 110
CELERY_TASK_SOFT_TIME_LIMIT = 100
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_SERIALIZER = "json"
CELERY_TIMEZONE = "UTC"
# One argument-free tick; one that waited until the next is dropped.
TICK_SECONDS = env.number("TICK_SECONDS", 60)
CELERY_BEAT_SCHEDULE = {
    "tick": {
        "task": "practice.tick",
        "schedule": float(TICK_SECONDS),
        "options": {"expires": TICK_SECONDS},
    }
}

# --- Mail: reminders to clients; without a server they are files under var/mail/ --------------

EMAIL_HOST = env.text("EMAIL_HOST")
EMAIL_PORT = env.number("EMAIL_PORT", 587 if PRODUCTION else 25)
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = map(env.text, ("EMAIL_HOST_USER", "EMAIL_HOST_PASSWORD"))
EMAIL_USE_TLS = env.switch("EMAIL_USE_TLS", default=PRODUCTION)
EMAIL_TIMEOUT = 20  # Seconds; a tick that waits for longer leaves it to the next.
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'filebased'}.EmailBackend"
EMAIL_FILE_PATH = VAR / "mail"
DEFAULT_FROM_EMAIL = env.text("MAIL_FROM", "practice@localhost")
_ITSELF = f"https://{ALLOWED_HOSTS[0]}" if PRODUCTION and ALLOWED_HOSTS else ""
PUBLIC_URL = env.text("PUBLIC_URL", _ITSELF).rstrip("/") or "http://localhost:8000"
TEXT_PROVIDER = env.text("TEXT_PROVIDER", "clients.reminders.texting.FileTexts")
TEXT_FILE_PATH = VAR / "texts"

# --- The program ---------------------------------------------------------------------------

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    # The apps, from the ground up; each may use only those before it.
    "practice",
    "practice.eventstore",
    "practice.keys",
    "practice.jobs",
    "clients",
    "sessions",
    "billing",
]
# What each app brings, installed in this order when the program starts.
APP_SPECS = ["practice.spec.APP", "clients.spec.APP", "sessions.spec.APP", "billing.spec.APP"]
MIDDLEWARE = [
    "practice.http.middleware.RequestId",
    "practice.http.middleware.SecurityHeaders",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "practice.http.middleware.Compression",
    "practice.http.middleware.BodyLimit",
    "django.middleware.common.CommonMiddleware",
    "practice.http.middleware.ConditionalReads",
    "practice.http.middleware.PracticeMemory",
]
ROOT_URLCONF = "practice.urls"
WSGI_APPLICATION = "practice.wsgi.application"
APPEND_SLASH = False
TEMPLATES = [{"BACKEND": "django.template.backends.django.DjangoTemplates", "APP_DIRS": True}]

AUTH_USER_MODEL = "practice.Staff"
PASSWORD_HASHERS = [
    "practice.people_and_places.hashing.PracticeArgon2Hasher",
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
_VALIDATORS = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_VALIDATORS}.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": f"{_VALIDATORS}.CommonPasswordValidator"},
    {
        "NAME": f"{_VALIDATORS}.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "name")},
    },
]

USE_TZ, TIME_ZONE = True, "UTC"
# Translated is what clients are written; the API itself speaks English.
USE_I18N, LANGUAGE_CODE = True, "en"
LOCALE_PATHS = [*filter(None, [env.text("PRACTICE_LOCALE")]), BASE_DIR / "clients" / "locale"]

# The interactive documentation's own files, served by the API server itself.
STATIC_URL = "/static/"
STATIC_ROOT = VAR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # whitenoise warns of a missing folder
WHITENOISE_USE_FINDERS = True

BODY_LIMIT_BYTES = DATA_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024  # Bytes; a longer body is a 413.

# --- HTTP interface ------------------------------------------------------------------------

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "practice.people_and_places.authentication.TokenAuthentication"
    ],
    "DEFAULT_PERMISSION_CLASSES": ["practice.http.roles.RolePermission"],
    "DEFAULT_PARSER_CLASSES": ["practice.http.parsers.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "practice.http.problems.exception_handler",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
    # ?format= is a parameter like any other: of a picture, unknown elsewhere.
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Practice record",
    "DESCRIPTION": ABOUT,
    "VERSION": "1",
    "TAGS": TAGS,
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "POSTPROCESSING_HOOKS": [
        "practice.http.enum_names.name_enums",
        "drf_spectacular.hooks.postprocess_schema_enums",
    ],
    # Files of the package itself: the documentation asks nothing from outside.
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
}

# --- Transport and logs --------------------------------------------------------------------

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY, X_FRAME_OPTIONS = "no-referrer", "DENY"
if PRODUCTION:
    # Production stands behind a buffering proxy that ends TLS and sets this header itself.
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
# ``check --deploy`` (part of manage.py test) holds the rest; these do not fit this API:
SILENCED_SYSTEM_CHECKS = [
    "security.W002",  # X-Frame-Options is sent by practice.http.middleware.SecurityHeaders.
    "security.W003",  # No cookies, so nothing to forge: callers send a bearer token.
    "security.W005",  # Subdomains and browsers' preload lists: the owner of the domain decides.
    "security.W021",
    "security.W008",  # The proxy that ends TLS redirects.
    "security.W009",  # Counts characters; the key is 32 random bytes, which is checked above.
]
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"practice": {"level": "INFO"}},
}

if env.problems:
    raise ImproperlyConfigured(
        "The practice record cannot start:\n  - "
        + "\n  - ".join(env.problems)
        + f"\nA key is made with: {HOW_TO_MAKE_A_KEY}"
    )
