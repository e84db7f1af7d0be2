"""Settings, read from the environment and safe when nothing is set.

DOUBLERULE_MODE is `production` (default: https only, second factor for staff) or `demo` (plain http, this computer
only). Everything else that a deployment sets is listed in the README.
"""

import os
import sqlite3
from pathlib import Path

from django.utils.translation import gettext_lazy as _

from tracker.config.environment import database, former_keys, secret_key, words

BASE_DIR = Path(__file__).resolve().parents[2]
MODE = os.environ.get("DOUBLERULE_MODE", "production")
DEMO = MODE == "demo"
VAR_DIR = Path(os.environ.get("DOUBLERULE_VAR", BASE_DIR / "var"))

DEBUG = False
SECRET_KEY = secret_key(demo=DEMO, var=VAR_DIR)
SECRET_KEY_FALLBACKS = former_keys()
ALLOWED_HOSTS = ["127.0.0.1", "localhost"] if DEMO else words("DOUBLERULE_HOSTS")
CSRF_TRUSTED_ORIGINS = words("DOUBLERULE_ORIGINS")

INSTALLED_APPS = [
    "tracker.apps.TrackerConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "django_htmx",
    "django_tables2",
]

MIDDLEWARE = [
    # First, so that redirects, errors and files carry the policy too.
    "tracker.web.middleware.ContentPolicyMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "tracker.web.middleware.SessionLimitsMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "tracker.web.middleware.ViewerMiddleware",
]

ROOT_URLCONF = "tracker.config.urls"
WSGI_APPLICATION = "tracker.config.wsgi.application"

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
                "tracker.web.context.page",
            ],
        },
    },
]

DATABASES = {"default": database(base=VAR_DIR, demo=DEMO, sqlite_version=sqlite3.sqlite_version_info)}

AUTH_USER_MODEL = "tracker.User"
AUTHENTICATION_BACKENDS = [
    "tracker.access.codes.CodeBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "name", "email")},
    },
    {"NAME": "tracker.access.passwords.SchoolNameValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "home-landing"

ACCOUNT_ADAPTER = "tracker.access.adapter.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_USER_MODEL_USERNAME_FIELD = "username"
ACCOUNT_PRESERVE_USERNAME_CASING = True
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_FORMS = {
    "login": "tracker.web.forms.account.SignInForm",
    "reauthenticate": "tracker.web.forms.account.AgainForm",
}
# A whole school may share one address on Monday morning; wrong tries are counted by name as well.
ACCOUNT_RATE_LIMITS = {
    "login": "60/m/ip",
    "login_failed": "20/m/ip,5/5m/key",
    "change_password": "5/m/user",
    "reauthenticate": "10/m/user",
}
ACCOUNT_REAUTHENTICATION_TIMEOUT = 600
MFA_ADAPTER = "tracker.access.adapter.FactorAdapter"
MFA_FORMS = {
    "authenticate": "tracker.web.forms.account.FactorForm",
    "reauthenticate": "tracker.web.forms.account.FactorForAgainForm",
    "activate_totp": "tracker.web.forms.account.NewFactorForm",
}
MFA_RECOVERY_CODES_SHOW_ONCE = True
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Doublerule"
# Staff need a second factor, except in the loopback demo.
SECOND_FACTOR_FOR_STAFF = not DEMO

SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_IDLE_SECONDS = int(os.environ.get("DOUBLERULE_IDLE_MINUTES", "60")) * 60
SESSION_ABSOLUTE_SECONDS = int(os.environ.get("DOUBLERULE_SESSION_HOURS", "10")) * 3600
SESSION_COOKIE_AGE = SESSION_ABSOLUTE_SECONDS
CSRF_USE_SESSIONS = False
CSRF_FAILURE_VIEW = "tracker.web.views.account.stale"
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

if not DEMO:
    # __Host- names bind both cookies to this host and to https.
    SESSION_COOKIE_NAME = "__Host-sessionid"
    CSRF_COOKIE_NAME = "__Host-csrftoken"
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    if os.environ.get("DOUBLERULE_BEHIND_PROXY") == "1":
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
        # Throttling counts by the visitor's address, which the proxy adds last.
        ALLAUTH_TRUSTED_PROXY_COUNT = 1
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

SECURE_CSP = {
    "default-src": ["'none'"],
    "script-src": ["'self'"],
    "style-src": ["'self'"],
    "img-src": ["'self'"],
    "font-src": ["'self'"],
    "connect-src": ["'self'"],
    "form-action": ["'self'"],
    "base-uri": ["'none'"],
    "frame-ancestors": ["'none'"],
}

# One cache per process is enough for throttling on one machine; several processes share the count in the database.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "tracker_cache"}}

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English"))]
LOCALE_PATHS = [BASE_DIR / "tracker" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = Path(os.environ.get("DOUBLERULE_STATIC", VAR_DIR / "static"))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEMO
        else "tracker.web.static_files.HashedStaticFiles"
    },
}
WHITENOISE_USE_FINDERS = DEMO

DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000
EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
EMAIL_HOST = os.environ.get("DOUBLERULE_SMTP_HOST", "localhost")
EMAIL_PORT = int(os.environ.get("DOUBLERULE_SMTP_PORT", "25"))
DEFAULT_FROM_EMAIL = os.environ.get("DOUBLERULE_FROM", "doublerule@localhost")

DJANGO_TABLES2_TEMPLATE = "parts/_table.html"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": "INFO"},
}
