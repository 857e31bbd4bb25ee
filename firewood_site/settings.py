"""The one settings file; every switch is an environment variable.

The defaults run the demo: SQLite, Valhalla in process over the demo's own extract, e-mails printed
on the console, no account elsewhere.
"""

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
    "django.contrib.admin",
    "django_htmx",
    "django_tasks_db",
    "inventory",
    "orders",
    "routing",
    "firewood_site",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
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
            "builtins": ["firewood_site.templatetags.firewood"],
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
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
PHOTO_MAX_BYTES = env_int("PHOTO_MAX_BYTES", 10 * 1024 * 1024)

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
}
_LETTERS_BY = env_choice("EMAIL", "console", ("console", "smtp"))
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
LOCALE_PATHS = [BASE_DIR / "firewood_site" / "locale"]
TIME_ZONE = env_str("TIME_ZONE", "America/Los_Angeles")
USE_I18N = True
USE_TZ = True

# --- trust ------------------------------------------------------------------------------------
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
    "form-action": [CSP.SELF],
    "frame-ancestors": [CSP.NONE],
}
HTTPS = env_bool("HTTPS", False)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 30 * 86400 if HTTPS else 0
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
