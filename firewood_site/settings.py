"""The one settings file; every switch is an environment variable.

The defaults run the demo: SQLite, Valhalla in process over the demo's own extract, e-mails printed
on the console, no account elsewhere.
"""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured
from django.utils.csp import CSP

from firewood_site.env import database, env_bool, env_choice, env_folder, env_int, env_list, env_path, env_str

BASE_DIR = Path(__file__).resolve().parent.parent

# --- who we are -------------------------------------------------------------------------------
DEBUG = env_bool("DEBUG", False)
DEMO = env_bool("DEMO", True)  # shows the demo log-ins; set DEMO=no for real use
SECRET_KEY = env_str("SECRET_KEY", "")
if not SECRET_KEY:
    if not DEMO:
        raise ImproperlyConfigured("SECRET_KEY is empty: set it to a long random text before real use.")
    SECRET_KEY = "demo-only-key-the-invented-seller-has-nothing-to-hide-0123456789"
ALLOWED_HOSTS = env_list("ALLOWED_HOSTS", ["127.0.0.1", "localhost", "[::1]", "testserver"])
CSRF_TRUSTED_ORIGINS = env_list("CSRF_TRUSTED_ORIGINS", [])
SITE_URL = env_str("SITE_URL", "http://127.0.0.1:8000")  # links in letters

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_htmx",
    "django_tasks_db",
    "inventory",
    "orders",
    "routing",
    "firewood_site",
    "firewood_site.admin_site.BooksAdminConfig",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
]
MIDDLEWARE = [
    "firewood_site.body_limit.BodyLimit",
    "firewood_site.one_page.OnePage",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "firewood_site.languages.VisitorLanguage",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "firewood_site.text_guard.TextGuard",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
]
ROOT_URLCONF = "firewood_site.urls"
WSGI_APPLICATION = "firewood_site.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "django.template.context_processors.i18n",
                "firewood_site.parts.who_we_are",
            ],
            "builtins": [f"firewood_site.templatetags.{name}" for name in ("firewood", "days", "measures")],
        },
    },
]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
ACCOUNT_ADAPTER = "firewood_site.staff_door.StaffDoor"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_PREVENT_ENUMERATION = True
MFA_ADAPTER = "firewood_site.staff_door.SecondStep"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_ISSUER = "Firewood"
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = DEMO  # the demo runs on localhost without HTTPS
LOGIN_URL = "log-in"
LOGIN_REDIRECT_URL = "/seller/"
LOGOUT_REDIRECT_URL = "/"

# --- where data lives -------------------------------------------------------------------------
DATA_DIR = env_folder("DATA_DIR", BASE_DIR / "data")
DATABASES = {"default": database(env_str("DATABASE_URL", ""), DATA_DIR)}
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "firewood_cache",
        # splits of loads and ways of runs: Django's 300 would throw them out while a season is read
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
    "tiles": {
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": DATA_DIR / "tile-cache",
        "TIMEOUT": None,
        "OPTIONS": {"MAX_ENTRIES": 20_000},
    },
}
# a service that may write nothing but its data keeps the compiled loops there, too
if not os.access(BASE_DIR, os.W_OK):
    os.environ.setdefault("NUMBA_CACHE_DIR", str(DATA_DIR / "planner-loops"))
STATIC_URL = "static/"
STATIC_ROOT = env_path("STATIC_ROOT", BASE_DIR / "staticfiles")
MEDIA_ROOT = env_path("MEDIA_ROOT", DATA_DIR / "media")
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEMO or DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = DEMO or DEBUG
WHITENOISE_AUTOREFRESH = DEBUG
MOST_BODY_BYTES = 12 * 1024 * 1024  # of one request, files included
MOST_MAP_BYTES = env_int("MOST_MAP_BYTES", 500 * 1024 * 1024)  # of a map that a seller sends
DATA_UPLOAD_MAX_MEMORY_SIZE = MOST_BODY_BYTES
FILE_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
PHOTO_MAX_BYTES = env_int("PHOTO_MAX_BYTES", 10 * 1024 * 1024)
BACKUP_DIR = env_str("BACKUP_DIR", "")  # the worker copies the books there each night; empty: you do
BACKUP_KEEP = env_int("BACKUP_KEEP", 14)
BACKUP_PASSPHRASE_FILE = env_str("BACKUP_PASSPHRASE_FILE", "")  # copies are encrypted with what it holds

# --- background work --------------------------------------------------------------------------
TASKS = {
    "default": {
        "BACKEND": env_choice(
            "TASKS_BACKEND",
            "django_tasks_db.DatabaseBackend",
            ("django_tasks_db.DatabaseBackend", "django.tasks.backends.immediate.ImmediateBackend"),
        ),
        "QUEUES": ["default", "planner"],
    }
}

# --- which road engine ------------------------------------------------------------------------
ROAD_ENGINE = env_choice("ROAD_ENGINE", "valhalla", ("valhalla", "valhalla_http", "estimate"))
VALHALLA_URL = env_str("VALHALLA_URL", "http://127.0.0.1:8002")
ROADS_DIR = env_path("ROADS_DIR", DATA_DIR / "roads")

# --- how we send letters ----------------------------------------------------------------------
_SMTP = {
    "host": env_str("EMAIL_HOST", "localhost"),
    "port": env_int("EMAIL_PORT", 25),
    "username": env_str("EMAIL_HOST_USER", ""),
    "password": env_str("EMAIL_HOST_PASSWORD", ""),
    "use_tls": env_bool("EMAIL_USE_TLS", False),
    "timeout": env_int("EMAIL_TIMEOUT", 20),  # seconds for each answer of the server
}
_LETTERS_BY = env_choice("EMAIL", "console", ("console", "smtp"))
SENDS_EMAIL = DEMO or _LETTERS_BY == "smtp"  # in real use letters are queued until a server is named
MAILERS = {
    "default": {
        "BACKEND": f"django.core.mail.backends.{_LETTERS_BY}.EmailBackend",
        "OPTIONS": _SMTP if _LETTERS_BY == "smtp" else {},
    }
}
DEFAULT_FROM_EMAIL = env_str("FROM_EMAIL", "wood@quarrelridge.example")

# --- words, time and place --------------------------------------------------------------------
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
FORMAT_MODULE_PATH = ["firewood_site.formats"]
LOCALE_PATHS = [BASE_DIR / "firewood_site" / "locale"]
TIME_ZONE = env_str("TIME_ZONE", "America/Los_Angeles")
USE_I18N = True
USE_TZ = True

# --- trust ------------------------------------------------------------------------------------
# --- paying by card, off until a provider is named ----------------------------------------------
CARD_PROVIDER = env_choice("CARD_PROVIDER", "none", ("none", "stripe"))
CARD_CURRENCY = env_str("CARD_CURRENCY", "usd")
CARD_PAGES = env_str("CARD_PAGES", "https://checkout.stripe.com")  # where the provider's pay pages are
STRIPE_API = env_str("STRIPE_API", "https://api.stripe.com")
STRIPE_SECRET_KEY = env_str("STRIPE_SECRET_KEY", "")
STRIPE_WEBHOOK_SECRET = env_str("STRIPE_WEBHOOK_SECRET", "")
if CARD_PROVIDER == "stripe" and not (STRIPE_SECRET_KEY and STRIPE_WEBHOOK_SECRET):
    raise ImproperlyConfigured("CARD_PROVIDER=stripe needs STRIPE_SECRET_KEY and STRIPE_WEBHOOK_SECRET.")

SECURE_CSP = {
    "default-src": [CSP.SELF],
    "script-src": [CSP.SELF],
    "style-src": [CSP.SELF],
    "img-src": [CSP.SELF, "data:"],
    "connect-src": [CSP.SELF],
    "worker-src": [CSP.SELF],
    "manifest-src": [CSP.SELF],
    "font-src": [CSP.SELF],
    "object-src": [CSP.NONE],
    "base-uri": [CSP.NONE],
    "form-action": [CSP.SELF, *([CARD_PAGES] if CARD_PROVIDER != "none" else [])],
    "frame-ancestors": [CSP.NONE],
}
HTTPS = env_bool("HTTPS", False)
BEHIND_PROXY = env_bool("BEHIND_PROXY", HTTPS)  # believe the last hop of X-Forwarded-For
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 86400 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = env_bool("HSTS_SUBDOMAINS", False)
SILENCED_SYSTEM_CHECKS = ["fields.W161"]  # it takes a crew's day from 7:00 for "now" when it runs at 7:00
if not SECURE_HSTS_PRELOAD:  # whether other names of the domain have HTTPS is known to its owner alone
    SILENCED_SYSTEM_CHECKS += ["security.W005", "security.W021"]
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
CSRF_FAILURE_VIEW = "firewood_site.site_views.csrf_refused"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_AGE = 30 * 86400

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env_str("LOG_LEVEL", "WARNING")},
}
