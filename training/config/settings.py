"""All settings. HEADLAP_MODE is real (default), demo or test; real reads the rest from the environment."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Any, Literal

import dj_database_url

from training.config import env as read
from training.config.throttle import REMEMBER_FAILURES

BASE_DIR = Path(__file__).resolve().parent.parent.parent
STATE_DIR = BASE_DIR / ".headlap"
env = read.Env.of_process()

MODE = env.text("HEADLAP_MODE", "real")
if MODE not in {"real", "demo", "test"}:
    raise read.SettingMissing(f"The setting HEADLAP_MODE is “{MODE}”. Set it to real, demo or test.")
REAL = MODE == "real"
DEBUG = not REAL and env.flag("HEADLAP_DEBUG")

# --- The settings that a real installation must bring -------------------------------------------------------------

if REAL:
    SECRET_KEY = read.secret_key(env)
    SECRET_KEY_FALLBACKS = env.items("HEADLAP_OLD_SECRET_KEYS")  # what they signed and sealed goes on counting
    ALLOWED_HOSTS = read.hosts(env)
    DATABASE_ADDRESS = read.database_url(env)
    MAIL: read.Mail | None = read.mail(env)
    DEFAULT_FROM_EMAIL = read.mail_from(env)
else:
    SECRET_KEY = f"only-for-{MODE}-never-for-people-{'0123456789abcdef' * 3}"
    ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", "testserver", *env.items("HEADLAP_HOSTS")]
    DATABASE_ADDRESS = env.text("DATABASE_URL") if MODE == "test" else env.text("HEADLAP_DEMO_DATABASE_URL")
    MAIL = None
    DEFAULT_FROM_EMAIL = "headlap@example.com"

# Where links in printed cards and slips lead, without a closing slash.
SITE_URL = env.text("HEADLAP_SITE_URL", f"https://{ALLOWED_HOSTS[0]}" if REAL else "http://localhost:8000").rstrip("/")
SERVER_EMAIL = DEFAULT_FROM_EMAIL

# --- What is installed --------------------------------------------------------------------------------------------

INSTALLED_APPS = [
    "training",
    "certificates",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "crispy_forms",
    "crispy_bootstrap5",
    "django_htmx",
    "axes",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "training.middleware.ActorMiddleware",
    "training.middleware.ErrorMiddleware",
]
ROOT_URLCONF = "training.config.urls"
WSGI_APPLICATION = "training.config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]
CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

# --- Database -----------------------------------------------------------------------------------------------------


def database(address: str) -> dict[str, Any]:
    """Connection settings. SQLite readers never block (WAL) and writers queue (IMMEDIATE) instead of failing."""
    config: dict[str, Any] = dict(dj_database_url.parse(address, conn_max_age=60, conn_health_checks=True))
    if config["ENGINE"] == "django.db.backends.sqlite3":
        durable = "OFF" if MODE == "test" else "NORMAL"
        config["CONN_MAX_AGE"] = 0
        config["OPTIONS"] = {
            "timeout": 20,
            "transaction_mode": "IMMEDIATE",
            "init_command": f"PRAGMA journal_mode=WAL; PRAGMA synchronous={durable}",
        }
        # A file, not memory: the server's threads read it too. Named by process, so that runs can overlap.
        config["TEST"] = {"NAME": str(Path(tempfile.gettempdir()) / f"headlap-test-{os.getpid()}.sqlite3")}
    return config


DATABASES = {"default": database(DATABASE_ADDRESS or f"sqlite:///{STATE_DIR / 'headlap.sqlite3'}")}

# --- Signing in ---------------------------------------------------------------------------------------------------

AUTH_USER_MODEL = "training.User"
LOGIN_URL = "training:sign_in"
LOGIN_REDIRECT_URL = "training:home"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
    "django.contrib.auth.hashers.ScryptPasswordHasher",
]
AUTH_PASSWORD_VALIDATORS: list[dict[str, Any]] = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 15}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

# Failed tries count for one name at one address, so nobody can lock out somebody else. The waits grow.
AXES_ENABLED = True
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_FORM_FIELD = "username"
AXES_FAILURE_LIMIT = "training.config.throttle.failure_limit"
AXES_COOLOFF_TIME = REMEMBER_FAILURES
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_CLIENT_IP_CALLABLE = "training.config.throttle.subscriber"
AXES_LOCKOUT_CALLABLE = "training.config.throttle.too_many_tries"
AXES_SENSITIVE_PARAMETERS = ["password", "pin", "token", "code"]
AXES_DISABLE_ACCESS_LOG = True

# --- Security -----------------------------------------------------------------------------------------------------

PROXIES = env.number("HEADLAP_PROXIES", 0)  # how many trusted proxies stand in front; 0 reads no forwarded header
if PROXIES:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_SSL_REDIRECT = REAL
SECURE_HSTS_SECONDS = env.number("HEADLAP_HSTS_SECONDS", 31_536_000) if REAL else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = REAL
SECURE_HSTS_PRELOAD = REAL
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LANGUAGE_COOKIE_SECURE = REAL
SESSION_COOKIE_HTTPONLY = LANGUAGE_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "training.views.kept.csrf_failure"
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_SAMESITE: Literal["Lax"] = "Lax"
SESSION_COOKIE_AGE = 14 * 24 * 3600
LANGUAGE_COOKIE_AGE = 365 * 24 * 3600
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 3000
DATA_UPLOAD_MAX_NUMBER_FILES = 40
FILE_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_PERMISSIONS = 0o640

CONTENT_SECURITY_POLICY: dict[str, Any] = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "font-src": ["'self'"],
        "connect-src": ["'self'"],
        "media-src": ["'self'"],
        "worker-src": ["'self'"],
        "manifest-src": ["'self'"],
        "frame-src": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
        "base-uri": ["'none'"],
        "object-src": ["'none'"],
        "upgrade-insecure-requests": REAL,
    },
}

# --- Languages and time -------------------------------------------------------------------------------------------

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "training" / "locale", BASE_DIR / "certificates" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = env.text("HEADLAP_TIME_ZONE", "America/New_York")

# --- Files --------------------------------------------------------------------------------------------------------

# Uploads lie outside the static folder and have no address of their own: a view checks who asks, then sends them.
MEDIA_ROOT = Path(env.text("HEADLAP_UPLOADS", str(STATE_DIR / "uploads")))
STATIC_URL = "/static/"
STATIC_ROOT = Path(env.text("HEADLAP_STATIC", str(STATE_DIR / "static")))
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if REAL
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = not REAL
WHITENOISE_AUTOREFRESH = not REAL

# --- Mail and logs ------------------------------------------------------------------------------------------------

if MAIL:
    EMAIL_HOST, EMAIL_PORT = MAIL.host, MAIL.port
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.user, MAIL.password
    EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.start_tls, MAIL.tls
    EMAIL_TIMEOUT = 20
else:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = STATE_DIR / "mail"

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        "training": {"level": "INFO"},
        "certificates": {"level": "INFO"},
        # WeasyPrint and fontTools tell of every harmless oddity of a font.
        "fontTools": {"level": "ERROR"},
        "weasyprint": {"level": "ERROR"},
    },
}
