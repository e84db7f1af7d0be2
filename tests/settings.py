"""The product's settings with what tests need: plain http, plain file names, quick passwords, a pseudo-language."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("DOUBLERULE_SECRET_KEY", "only-for-tests-" * 4)
os.environ.setdefault("DOUBLERULE_VAR", str(Path(tempfile.gettempdir()) / f"doublerule-tests-{os.getuid()}"))

from django.conf import global_settings
from django.conf.locale import LANG_INFO
from django.utils.translation import gettext_lazy

from tests import pseudo
from tracker.config.settings import *

ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
SECURE_SSL_REDIRECT = False
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = False
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "sessionid", "csrftoken"

# Hashed names need collected files: without them every style sheet is a 404 and axe passes on the naked page.
STORAGES = STORAGES | {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

LANGUAGES = [*LANGUAGES, (pseudo.CODE, gettext_lazy("Pseudo"))]
LANGUAGES_BIDI = [*global_settings.LANGUAGES_BIDI, pseudo.CODE]
LANG_INFO[pseudo.CODE] = {"bidi": True, "code": pseudo.CODE, "name": "Pseudo", "name_local": "Pseudo"}
LOCALE_PATHS = [*LOCALE_PATHS, pseudo.built(LOCALE_PATHS[0])]
