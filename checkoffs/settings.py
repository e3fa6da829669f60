"""Settings of the one installation, read from the environment by readers that refuse odd values.

The variables people set are ORIGIN, DATABASE_URL, STEPWITNESS_DATA, STEPWITNESS_DEBUG, and the OIDC_* group.
Everything else follows from them, so that two of them can never contradict each other.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent
LOOPBACK = {"127.0.0.1", "localhost", "::1"}


def read_flag(name: str, *, default: bool) -> bool:
    """Read a yes/no variable; anything but the listed words is refused."""
    text = os.environ.get(name, "").strip().lower()
    words = {"": default, "1": True, "true": True, "yes": True, "0": False, "false": False, "no": False}
    if text not in words:
        raise ImproperlyConfigured(f"{name}={text!r}: write 1, true, yes, 0, false or no.")
    return words[text]


def read_origin() -> str:
    """The one address people type: scheme, host, optional port. Plain http is served on loopback only."""
    text = os.environ.get("ORIGIN", "http://127.0.0.1:8000").strip().rstrip("/")
    parts = urlsplit(text)
    if parts.scheme not in {"http", "https"} or not parts.hostname or parts.path or parts.query:
        raise ImproperlyConfigured(f"ORIGIN={text!r}: write scheme, host and port, such as https://lab.example:8443.")
    if parts.scheme == "http" and parts.hostname not in LOOPBACK:
        raise ImproperlyConfigured(
            f"ORIGIN={text!r}: plain http works on this machine only (127.0.0.1); tablets need https."
        )
    return text


def read_data_dir() -> Path:
    """The private folder for database, keys and secrets; made with mode 0700."""
    folder = Path(os.environ.get("STEPWITNESS_DATA", BASE_DIR / ".data")).resolve()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def read_secret(folder: Path) -> str:
    """The signing secret, made on first use and kept beside the database, never in the tree."""
    path = folder / "secret"
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(64))
    except FileExistsError:
        pass
    return path.read_text().strip()


ORIGIN = read_origin()
SECURE = ORIGIN.startswith("https://")
DATA_DIR = read_data_dir()
DEBUG = read_flag("STEPWITNESS_DEBUG", default=False)
SECRET_KEY = read_secret(DATA_DIR)
TESTING = read_flag("STEPWITNESS_TESTING", default=False)

_host = urlsplit(ORIGIN).hostname or ""
ALLOWED_HOSTS = sorted(LOOPBACK) if _host in LOOPBACK else [_host]
CSRF_TRUSTED_ORIGINS = [ORIGIN]

ROOT_URLCONF = "checkoffs.urls"
WSGI_APPLICATION = "checkoffs.wsgi.application"
AUTH_USER_MODEL = "checkoffs.User"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
SITE_NAME = "Stepwitness"

INSTALLED_APPS = [
    "checkoffs.apps.CheckoffsConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.socialaccount",
    "allauth.socialaccount.providers.openid_connect",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django_tasks",
    "django_tasks_db",
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
    "checkoffs.people.middleware.AccessMiddleware",
    "checkoffs.site.headers.PrivateByDefault",
]

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
                "checkoffs.site.frame.frame",
            ],
        },
    }
]

# --- database: SQLite unless DATABASE_URL says PostgreSQL -------------------------------------------------
_sqlite = f"sqlite:///{DATA_DIR / 'stepwitness.sqlite3'}"
DATABASES = {"default": dj_database_url.parse(os.environ.get("DATABASE_URL") or _sqlite, conn_max_age=None)}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # recursive_triggers: without it INSERT OR REPLACE would pass the delete triggers of the ledger.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON; PRAGMA foreign_keys=ON;"
        ),
    }
elif not DATABASES["default"]["ENGINE"].endswith("postgresql"):
    raise ImproperlyConfigured("DATABASE_URL: use postgresql://… or leave it out for SQLite.")
WRITE_LOCK_FILE = DATA_DIR / "write.lock"
KEYS_DIR = DATA_DIR / "keys"  # beside the database, never in it: whoever changes rows cannot sign a new head

CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": str(DATA_DIR / "cache"),
    }
}

# --- sign-in -----------------------------------------------------------------------------------------------
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "site:home"
LOGOUT_REDIRECT_URL = "account_login"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
ACCOUNT_ADAPTER = "checkoffs.people.accounts.ClosedAccounts"
SOCIALACCOUNT_ADAPTER = "checkoffs.people.accounts.KnownPeopleOnly"
ACCOUNT_LOGIN_METHODS = {"username", "email"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_USER_MODEL_USERNAME_FIELD = "username"
ACCOUNT_USER_MODEL_EMAIL_FIELD = "email"
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_RATE_LIMITS = {
    "login": "60/m/ip",
    "login_failed": "30/m/ip,5/300s/key",
    "reauthenticate": "10/m/user",
}
ACCOUNT_REAUTHENTICATION_TIMEOUT = 60
ACCOUNT_EMAIL_SUBJECT_PREFIX = "Stepwitness: "
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes", "webauthn"] if read_flag("STEPWITNESS_MFA", default=False) else []
MFA_PASSKEY_LOGIN_ENABLED = False
MFA_ALLOW_UNVERIFIED_EMAIL = True  # no mail server is needed; people are entered by an administrator
SOCIALACCOUNT_AUTO_SIGNUP = False
SOCIALACCOUNT_EMAIL_AUTHENTICATION = False
SOCIALACCOUNT_PROVIDERS = {}
if os.environ.get("OIDC_SERVER_URL"):
    SOCIALACCOUNT_PROVIDERS["openid_connect"] = {
        "APPS": [
            {
                "provider_id": "campus",
                "name": os.environ.get("OIDC_NAME", "Campus sign-on"),
                "client_id": os.environ.get("OIDC_CLIENT_ID", ""),
                "secret": os.environ.get("OIDC_CLIENT_SECRET", ""),
                "settings": {"server_url": os.environ["OIDC_SERVER_URL"]},
            }
        ]
    }
EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
if os.environ.get("EMAIL_HOST"):
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = os.environ["EMAIL_HOST"]
DEFAULT_FROM_EMAIL = os.environ.get("EMAIL_FROM", f"stepwitness@{_host}")

# --- what the browser may do ---------------------------------------------------------------------------------
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "font-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = SECURE
SECURE_HSTS_SECONDS = 31_536_000 if SECURE else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE
SECURE_HSTS_PRELOAD = SECURE
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if read_flag("STEPWITNESS_BEHIND_PROXY", default=False) else None
)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_ENGINE = "django.contrib.sessions.backends.db"  # a signed-out session must be gone in every worker
SESSION_COOKIE_AGE = 12 * 60 * 60
CSRF_FAILURE_VIEW = "checkoffs.site.views.csrf_failed"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5_000  # a long list brought in is corrected line by line, several fields a line

# --- language, time, files -----------------------------------------------------------------------------------
LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": DATA_DIR / "files"},
    },
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if TESTING or DEBUG
        else "checkoffs.site.static.HashedModules"
    },
}
WHITENOISE_USE_FINDERS = TESTING or DEBUG
WHITENOISE_AUTOREFRESH = TESTING or DEBUG
CRISPY_ALLOWED_TEMPLATE_PACKS = CRISPY_TEMPLATE_PACK = "bootstrap5"

# --- background work -----------------------------------------------------------------------------------------
TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
# Ordered after each seal, amendment and void; named here because the records room imports none of the rooms above it.
AFTER_SEAL = ["checkoffs.review.tasks.catch_up", "checkoffs.reports.tasks.catch_up"]

if TESTING:
    # Tests must not pay for key stretching or share state between runs; nothing else differs.
    CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {"checkoffs": {"level": "INFO"}, "django.security.DisallowedHost": {"level": "ERROR"}},
}
