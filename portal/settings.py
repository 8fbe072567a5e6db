"""Django's settings. Every choice comes from the environment: see portal.environment."""

from __future__ import annotations

import base64
import secrets
import zoneinfo
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import dj_database_url
from csp.constants import NONE, SELF

from portal.environment import Environment

env = Environment()
BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = env.folder("CARRYOVER_DATA")
SCRATCH_DIR = DATA_DIR / "scratch"
SCRATCH_DIR.mkdir(exist_ok=True)

SITE_URL = env.address("CARRYOVER_URL", "http", "https").rstrip("/")
SITE_HOST = urlsplit(SITE_URL).hostname or ""
SECURE = SITE_URL.startswith("https://")
DEBUG = env.flag("CARRYOVER_DEBUG")


def kept_secret_key() -> str:
    """The secret key from the environment, or one made once and kept in the data folder."""
    given = env.text("CARRYOVER_SECRET_KEY")
    if given:
        if len(given) < 40:
            raise env.wrong("CARRYOVER_SECRET_KEY", "", "must have 40 characters or more")
        return given
    kept = DATA_DIR / "secret_key"
    if not kept.exists():
        kept.touch(mode=0o600)
        kept.write_text(secrets.token_urlsafe(64))
    return kept.read_text()


SECRET_KEY = kept_secret_key()
ALLOWED_HOSTS = [SITE_HOST, "127.0.0.1", "localhost"]
CSRF_TRUSTED_ORIGINS = [SITE_URL]

INSTALLED_APPS = [
    "portal.work",
    "portal.mail",
    "portal.accounts",
    "portal.files",
    "portal.notices",
    "portal.operations",
    "lessons.students",
    "lessons.visits",
    "lessons.clips",
    "lessons.marks",
    "lessons.paths",
    "lessons.pairings",
    "lessons.drills",
    "lessons.recaps",
    "lessons.practice",
    "lessons.questions",
    "lessons.programmes",
    "lessons.board",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "django_htmx",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "portal.accounts.middleware.TimeZoneMiddleware",
    "lessons.practice.who.WhoMiddleware",
]

ROOT_URLCONF = "portal.urls"
ASGI_APPLICATION = "portal.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "lessons.questions.unread.unread_in_bar",
            ],
        },
    }
]

# --- Database: SQLite until it is outgrown -------------------------------------------------
DATABASE_URL = env.address("DATABASE_URL", "postgres", "postgresql")
if DATABASE_URL:
    DATABASES = {"default": dj_database_url.parse(DATABASE_URL, conn_max_age=0)}
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": DATA_DIR / "carryover.sqlite3",
            "OPTIONS": {
                # Measured: with the defaults two thirds of concurrent writes fail
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                "init_command": (
                    "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA busy_timeout=20000;"
                ),
            },
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# --- Work in flight ------------------------------------------------------------------------
CELERY_BROKER_URL = (
    env.address("CELERY_BROKER_URL", "redis", "rediss") or "filesystem://localhost//"
)
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object]
if CELERY_BROKER_URL.startswith("filesystem:"):
    CELERY_BROKER_TRANSPORT = "portal.work.messages:Transport"
    messages = DATA_DIR / "messages"
    for name in ("queue", "control"):
        (messages / name).mkdir(parents=True, exist_ok=True)
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(messages / "queue"),
        "data_folder_out": str(messages / "queue"),
        "control_folder": str(messages / "control"),
        "polling_interval": 0.2,
    }
else:
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        # A message comes back only after this; rows with lapsed leases come back by the sweep
        "visibility_timeout": 4 * 3600,
        # A publisher must not hang when Redis is gone: the sweep sends again
        "socket_connect_timeout": 3,
        "socket_timeout": 30,
        "retry_policy": {"timeout": 3.0},
    }
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_PUBLISH_RETRY = False
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = False  # the row's lease brings the work back, once
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_DEFAULT_QUEUE = "quick"  # stills, letters, sweeps: never behind a preparation
CELERY_TASK_ROUTES = {
    f"lessons.clips.tasks.{name}": {"queue": "prepare"} for name in ("prepare", "search", "cut")
} | {"lessons.pairings.tasks.film": {"queue": "prepare"}}
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat")
CELERY_BEAT_SCHEDULE = {
    "sweep": {
        "task": "portal.operations.tasks.sweep",
        "schedule": float(env.number("CARRYOVER_SWEEP_SECONDS", least=1, most=3600)),
    },
    "remind": {"task": "lessons.practice.tasks.remind_all", "schedule": 60.0},
}
WORK_LEASE_SECONDS = env.number("CARRYOVER_LEASE_SECONDS", least=2, most=600)
WORK_ATTEMPTS = 3

# --- Files ---------------------------------------------------------------------------------
S3_BUCKET = env.text("S3_BUCKET")
FILES_BY = env.choice("CARRYOVER_FILES_BY", "site", "proxy", "store")
if S3_BUCKET:
    private_files = {
        "BACKEND": "portal.files.storages.PrivateS3Storage",
        "OPTIONS": {
            "bucket_name": S3_BUCKET,
            "endpoint_url": env.address("S3_ENDPOINT_URL", "http", "https") or None,
            "access_key": env.text("S3_ACCESS_KEY_ID"),
            "secret_key": env.text("S3_SECRET_ACCESS_KEY"),
            "region_name": env.text("S3_REGION"),
            "public_url": env.address("S3_PUBLIC_URL", "http", "https"),
        },
    }
    if FILES_BY == "proxy":
        raise env.wrong("CARRYOVER_FILES_BY", "proxy", "needs files in a folder, not S3_BUCKET")
else:
    if FILES_BY == "store":
        raise env.wrong("CARRYOVER_FILES_BY", "store", "needs S3_BUCKET")
    private_files = {
        "BACKEND": "portal.files.storages.PrivateFolderStorage",
        "OPTIONS": {"location": DATA_DIR / "files", "base_url": None},
    }
STORAGES = {
    "default": private_files,
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
MEDIA_URL = ""
STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
STATICFILES_DIRS = [BASE_DIR / "portal/static"]
FILE_UPLOAD_TEMP_DIR = SCRATCH_DIR
MAX_CLIP_BYTES = env.number("CARRYOVER_MAX_CLIP_MB", least=1, most=100_000) * 1_000_000
MAX_CLIP_US = env.number("CARRYOVER_MAX_CLIP_MINUTES", least=1, most=240) * 60_000_000
UPLOAD_DAYS = 7
KEEP_FREE_BYTES = env.number("CARRYOVER_KEEP_FREE_MB", least=0, most=1_000_000) * 1_000_000

# --- People --------------------------------------------------------------------------------
AUTH_USER_MODEL = "accounts.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home"
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "portal.accounts.adapter.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 900
ACCOUNT_EMAIL_VERIFICATION = "none"  # an address is proven by its code, link or invitation
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False  # no letters to addresses that a stranger typed
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_LOGIN_BY_CODE_SUPPORTS_RESEND = True
ACCOUNT_REAUTHENTICATION_REQUIRED = True
SURE_SECONDS = ACCOUNT_REAUTHENTICATION_TIMEOUT = 900  # how long a sign-in counts as proof
ACCOUNT_RATE_LIMITS = {  # on top of allauth's own; POST only
    "request_login_code": "20/m/ip,3/m/key",
    "first_run": "10/m/ip",
    "enter": "20/m/ip",
    "invitation": "20/m/ip",
    "elsewhere": "10/m/user",
    "invite": "60/h/user",
}
MFA_ADAPTER = "portal.accounts.adapter.MFAAdapter"
MFA_FORMS = {
    "add_webauthn": "portal.accounts.sign_in_forms.AddPasskeyForm",
    "login_webauthn": "portal.accounts.sign_in_forms.LoginPasskeyForm",
    "reauthenticate_webauthn": "portal.accounts.sign_in_forms.AgainPasskeyForm",
}
MFA_ALLOW_UNVERIFIED_EMAIL = True  # an account is made by an invitation, not by a stranger
MFA_SUPPORTED_TYPES = ["webauthn"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_PASSKEY_SIGNUP_ENABLED = False
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not SECURE
SESSION_COOKIE_AGE = 180 * 24 * 3600  # a student's phone stays signed in between visits
INVITATION_DAYS = 14

# --- Letters -------------------------------------------------------------------------------
EMAIL_URL = env.address("EMAIL_URL", "smtp", "smtps")
if EMAIL_URL:
    parts = urlsplit(EMAIL_URL)
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = parts.hostname
    EMAIL_PORT = parts.port or (465 if parts.scheme == "smtps" else 587)
    EMAIL_HOST_USER = unquote(parts.username or "")
    EMAIL_HOST_PASSWORD = unquote(parts.password or "")
    EMAIL_USE_SSL = parts.scheme == "smtps"
    EMAIL_USE_TLS = not EMAIL_USE_SSL and parse_qs(parts.query).get("tls") == ["1"]
    EMAIL_TIMEOUT = 20
else:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = DATA_DIR / "letters"
DEFAULT_FROM_EMAIL = SERVER_EMAIL = env.text("EMAIL_FROM")

# --- Notices -------------------------------------------------------------------------------
PUSH_KEY = env.text("CARRYOVER_PUSH_KEY")
try:
    push_key_bytes = len(base64.b64decode(PUSH_KEY + "=", altchars=b"-_", validate=True))
except ValueError:
    push_key_bytes = -1
if PUSH_KEY and push_key_bytes != 32:
    raise env.wrong("CARRYOVER_PUSH_KEY", "", "must be 32 bytes in 43 letters of base64url")
PUSH_TO_LOCAL = False  # a browser names the address, so it may not lead into the host's network

# --- Caches: counters of failed sign-ins and the like ---------------------------------------
if CELERY_BROKER_URL.startswith("redis"):
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": CELERY_BROKER_URL,
            "KEY_PREFIX": "carryover",
        }
    }
else:
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
            "LOCATION": DATA_DIR / "cache",
        }
    }

# --- The browser's guards ------------------------------------------------------------------
store = [SELF]
if FILES_BY == "store":
    public = urlsplit(env.text("S3_PUBLIC_URL") or env.text("S3_ENDPOINT_URL"))
    store = [SELF, f"{public.scheme}://{public.netloc}"]
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [*store, "data:", "blob:"],
        "media-src": [*store, "blob:"],
        "connect-src": store,
        "font-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "frame-src": [SELF],
        "frame-ancestors": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "SAMEORIGIN"  # the coach's preview shows the student's page in a frame
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SESSION_COOKIE_NAME = "carryover_session"
CSRF_COOKIE_NAME = "carryover_csrf"
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = False
SILENCED_SYSTEM_CHECKS = [
    "security.W005",  # other names of the host's domain are the host's business
    "security.W021",  # as is the browsers' preload list
    "security.W008",  # the TLS terminator in front redirects
    "security.W019",  # SAMEORIGIN: see X_FRAME_OPTIONS
]
BEHIND_PROXY = env.flag("CARRYOVER_PROXY")
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    ALLAUTH_TRUSTED_PROXY_COUNT = 1
    USE_X_FORWARDED_HOST = False

# --- Times and words -----------------------------------------------------------------------
TIME_ZONE = env.text("CARRYOVER_TIME_ZONE")
if TIME_ZONE not in zoneinfo.available_timezones():
    raise env.wrong("CARRYOVER_TIME_ZONE", TIME_ZONE, "must be a name like Europe/Dublin")
USE_TZ = True
LANGUAGE_CODE = "en-gb"
USE_I18N = False

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {"django.request": {"level": "ERROR"}},
}
