"""Settings. What a shop may want to change comes from the environment, or from settings.toml in the data folder.

DEVELOPERS.md lists the names."""

import os
import sys
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

from . import settings_file
from .log import settings_of_log
from .secret import read_or_make
from .sqlite import SQLITE_OPTIONS

BASE_DIR = Path(__file__).resolve().parent.parent
DATA = Path(os.environ.get("REGRIND_DATA") or BASE_DIR / "data")
try:
    SETTINGS_AT_START = settings_file.read_file(DATA)
    environment = settings_file.merge(os.environ, DATA)
    settings_file.check_environment(environment)

except settings_file.SettingsError as error:
    sys.exit(str(error))

SET_OUTSIDE = {name for name, text in os.environ.items() if text}  # counts more than the file


def switch(name: str) -> bool:
    return environment.get(name, "") not in ("", "0", "no", "false")


def names(variable: str) -> list[str]:
    return [name.strip() for name in environment.get(variable, "").split(",") if name.strip()]


DEBUG = switch("REGRIND_DEBUG")
DEV_PAGES = DEBUG  # /dev/parts, which shows every shared part of the pages
SECOND_FACTOR = switch("REGRIND_SECOND_FACTOR")  # needed by whoever may more than the bench
DEMO = switch("REGRIND_DEMO")
TLS = switch("REGRIND_TLS")
SECRET_KEY = environment.get("REGRIND_SECRET") or read_or_make(DATA / "secret")
# REGRIND_OWN_HOSTS: this computer's names and addresses, from `serve`
ALLOWED_HOSTS = [*names("REGRIND_HOSTS"), *names("REGRIND_OWN_HOSTS")] or ["localhost", "127.0.0.1", "[::1]"]
PUBLIC_ADDRESS = environment.get("REGRIND_PUBLIC_ADDRESS", "").rstrip("/")  # where customers open their pages
if PUBLIC_ADDRESS:
    ALLOWED_HOSTS.append(urlsplit(PUBLIC_ADDRESS).hostname or "")
OWN_ADDRESSES = switch("REGRIND_OWN_ADDRESSES")  # answer to whatever address this machine has; `serve` sets it
CSRF_TRUSTED_ORIGINS = [f"https://{h}" for h in ALLOWED_HOSTS if h != "*"] if TLS else []

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "regrind.shop",
    "regrind.record",
    "regrind.calculators",
    "regrind.receiving",
    "regrind.bench",
    "regrind.office",
    "regrind.review",
    "regrind.today",
    "regrind.demo",
]

MIDDLEWARE = [
    "regrind.frames.with_room",
    "regrind.shop.web.request_log.LogAddress",
    "regrind.shop.web.middleware.SettingsOnce",
    "regrind.shop.web.hosts.KnownHosts",
    "django.middleware.security.SecurityMiddleware",
    "regrind.shop.web.middleware.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "regrind.shop.web.middleware.ScriptRedirects",
    "regrind.shop.web.middleware.RefuseLargeBody",
    "regrind.shop.web.middleware.KeepNewerCookie",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "regrind.shop.web.request_log.LogPerson",
    "regrind.shop.web.middleware.NoStore",
    "regrind.shop.web.middleware.EndIdleSession",
    "regrind.shop.web.middleware.BenchSession",
    "regrind.shop.web.middleware.OwnPasswordFirst",
    "regrind.shop.web.middleware.SecondFactorFirst",
    "django_htmx.middleware.HtmxMiddleware",
    "regrind.shop.web.middleware.SignInRequired",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "regrind.shop.web.middleware.RefuseOddText",
    "regrind.shop.web.middleware.PageForWrongMethod",
]

ROOT_URLCONF = "regrind.urls"
WSGI_APPLICATION = "regrind.wsgi.application"
ASGI_APPLICATION = "regrind.asgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "regrind.shop.web.context.shop",
            ],
            "builtins": ["regrind.shop.templatetags.shop", "regrind.shop.templatetags.parts"],
        },
    }
]
FORM_RENDERER = "regrind.shop.web.form_controls.ControlRenderer"

if environment.get("DATABASE_URL"):
    import dj_database_url

    DATABASES = {
        "default": dj_database_url.parse(environment["DATABASE_URL"], conn_max_age=None, conn_health_checks=True)
    }
else:
    DATABASES = {"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": str(DATA / "db.sqlite3")}}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"] |= {"OPTIONS": SQLITE_OPTIONS, "CONN_MAX_AGE": None}

AUTH_USER_MODEL = "shop.Person"
LOGIN_URL = "shop:sign_in"
LOGIN_REDIRECT_URL = "today:page"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "regrind.shop.people.password_words.NoWordOfThisShop"},
]

LANGUAGE_CODE = "en"
TIME_ZONE = environment.get("REGRIND_TIME_ZONE") or "UTC"
USE_I18N = False
USE_TZ = True
FORMAT_MODULE_PATH = "regrind.formats"  # the language's own formats would win over DATE_FORMAT here

STATIC_URL = "static/"
STATIC_ROOT = Path(environment.get("REGRIND_STATIC") or BASE_DIR / "staticfiles")
HANDBOOK = BASE_DIR / "docs" / "handbook"
STATICFILES_DIRS = [BASE_DIR / "static", ("handbook", HANDBOOK / "pictures")]
# Our own folders alone: no page uses what an app brings, and not all of it holds together.
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.FileSystemFinder"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "regrind.shop.web.static_files.HashedFiles"
    },
}
MEDIA_ROOT = DATA / "photos"
PAPERS = DATA / "papers"
BACKUPS = Path(environment.get("REGRIND_BACKUPS") or DATA / "backups")
WHITENOISE_USE_FINDERS = DEBUG
WHITENOISE_ROOT = BASE_DIR / "static" / "root"  # files that browsers want at the top of the site

# One policy for every page: nothing from outside, nothing inline, nothing evaluated.
SECURE_CSP = {
    "default-src": "'none'",
    **dict.fromkeys(
        ("script-src", "style-src", "font-src", "connect-src", "form-action", "manifest-src", "worker-src", "img-src"),
        "'self'",
    ),
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
CSRF_FAILURE_VIEW = "regrind.shop.web.errors.csrf_failed"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if TLS:  # no other host or plain-text page can set a cookie of these names (RFC 6265bis, 4.1.3.2)
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 14 * 24 * 3600
IDLE_LIMIT = timedelta(hours=float(environment.get("REGRIND_IDLE_HOURS") or 8))  # a session unused for longer ends
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = TLS
SECURE_SSL_REDIRECT = TLS
# Not with the shop's own certificate: browsers would hold every port of this computer to it, for a year.
SECURE_HSTS_SECONDS = 31_536_000 if TLS and environment["REGRIND_TLS"] != "own" else 0
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if switch("REGRIND_BEHIND_PROXY") else None
# The shop's own host name says nothing of its neighbours (W005) and is on no browser's preload list (W021).
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]

DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 12_000  # 400 lines of a box, each with its fields

EMAIL_HOST = environment.get("REGRIND_SMTP_HOST", "")  # without it no mail is sent
EMAIL_PORT = int(environment.get("REGRIND_SMTP_PORT") or 587)
EMAIL_HOST_USER = environment.get("REGRIND_SMTP_USER", "")
EMAIL_HOST_PASSWORD = environment.get("REGRIND_SMTP_PASSWORD", "")
EMAIL_USE_TLS = (environment.get("REGRIND_SMTP_SECURITY") or "starttls") == "starttls"
EMAIL_USE_SSL = environment.get("REGRIND_SMTP_SECURITY") == "tls"
EMAIL_TIMEOUT = 20  # seconds for each answer of the mail server
MAIL_FROM = environment.get("REGRIND_MAIL_FROM", "")

LOG_FILE = environment.get("REGRIND_LOG_FILE", "")
LOGGING = settings_of_log(environment.get("REGRIND_LOG") or "WARNING", LOG_FILE)
