"""How gunicorn serves the app: threads, because the road engine lets go of the interpreter lock."""

import os

bind = os.environ.get("BIND", "0.0.0.0:8000")
worker_class = "gthread"
workers = int(os.environ.get("WEB_PROCESSES", "2"))
threads = int(os.environ.get("WEB_THREADS", "4"))
timeout = 60  # seconds without a sign of life; the longest page (a small day planned) takes about five
graceful_timeout = 30
keepalive = 5
max_requests = 5_000  # each process is started anew now and then, whatever it has gathered
max_requests_jitter = 500
