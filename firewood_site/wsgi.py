"""The door for gunicorn."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "firewood_site.settings")
application = get_wsgi_application()

# What is loaded by now stays for good: a collection need not walk it again, nor come after every 2,000 rows
# of a page. On pages of a busy month this takes a third off the slowest answers (tests/bench/pages.py).
gc.collect()
gc.freeze()
gc.set_threshold(50_000, 20, 100)
