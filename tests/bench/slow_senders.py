"""Sixty senders that never finish, at the app alone and at the shipped nginx in front of it.

    python -m tests.bench.slow_senders [--senders 60] [--seconds 15]

Each sends a form a byte a second. Told is the longest wait for /health while all of them send, with the
asker's own connection. Needs nginx and openssl. Bar: two seconds through the shipped door.
"""

import argparse
import contextlib
import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from tests.bench.orders_at_once import ROOT, free_port

HOST = "wood.example"  # as in deploy/nginx.conf
SENDERS, SECONDS = 60, 10.0
LONGEST_WAIT = 60.0
BAR_SECONDS = 2.0
QUICK_ANSWERS = 20  # in a row
TRUSTING = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)  # once: the usual one reads every authority, 0.05-0.15 s
TRUSTING.check_hostname, TRUSTING.verify_mode = False, ssl.CERT_NONE  # a certificate made a moment ago
FROM = "127.0.0.2"  # another sender than the one who asks for /health: the door limits each by itself


@contextlib.contextmanager
def app(folder: Path) -> Iterator[int]:
    """The app on empty books, as the shipped files start it."""
    port = free_port()
    settings = {
        **os.environ, "DEMO": "no", "SECRET_KEY": "only-for-this-measure-0123456789-abcdefghijklmnopqrst",
        "DATA_DIR": str(folder / "data"), "DATABASE_URL": "", "ALLOWED_HOSTS": HOST, "HTTPS": "yes",
        "BIND": f"127.0.0.1:{port}", "STATIC_ROOT": str(folder / "static"), "LOG_LEVEL": "CRITICAL",
        "DJANGO_SETTINGS_MODULE": "firewood_site.settings",
    }  # fmt: skip
    python = [sys.executable, "-W", "ignore"]
    subprocess.run([*python, "manage.py", "migrate", "--verbosity", "0"], cwd=ROOT, env=settings, check=True)
    serving = subprocess.Popen(
        [*python, "-m", "gunicorn", "firewood_site.wsgi", "--config", "deploy/gunicorn.py"],
        cwd=ROOT, env=settings, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    try:
        yield port
    finally:
        os.killpg(serving.pid, signal.SIGKILL)  # its processes too, which hold the slow senders for long
        serving.wait(30)


@contextlib.contextmanager
def door(folder: Path, to: int) -> Iterator[int]:
    """nginx with the shipped sample, on a free port and a certificate of our own."""
    port = free_port()
    made = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={HOST}"]
    subprocess.run(
        [*made, "-keyout", str(folder / "key.pem"), "-out", str(folder / "cert.pem")],
        check=True, capture_output=True,
    )  # fmt: skip
    sample = (ROOT / "deploy" / "nginx.conf").read_text(encoding="utf-8")
    sample = re.sub(r"^ *listen (\[::\]:)?80;\n", "", sample, flags=re.MULTILINE)
    sample = re.sub(r"^ *listen \[::\]:443.*\n", "", sample, flags=re.MULTILINE)
    sample = sample.replace("listen 443", f"listen 127.0.0.1:{port}")
    sample = sample.replace(
        "server {\n    server_name", f"server {{\n    listen 127.0.0.1:{free_port()};\n    server_name"
    )
    sample = sample.replace("127.0.0.1:8000", f"127.0.0.1:{to}")
    sample = re.sub(r"/etc/letsencrypt/live/\S+/fullchain.pem", str(folder / "cert.pem"), sample)
    sample = re.sub(r"/etc/letsencrypt/live/\S+/privkey.pem", str(folder / "key.pem"), sample)
    places = "".join(
        f"{kind}_temp_path {folder}/{kind};\n"
        for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    user = "user root;\n" if os.geteuid() == 0 else ""
    file = folder / "nginx.conf"
    file.write_text(
        f"{user}daemon off;\npid {folder}/nginx.pid;\nevents {{}}\n"
        f"http {{\naccess_log off;\n{places}{sample}}}\n",
        encoding="utf-8",
    )
    log = folder / "nginx.log"
    with log.open("w") as errors:
        running = subprocess.Popen(
            [nginx(), "-p", str(folder), "-e", str(log), "-c", str(file)], stderr=errors, stdout=errors
        )
        try:
            yield port
        finally:
            running.terminate()
            running.wait(30)


def nginx() -> str:
    """Where nginx is; empty without it. Debian keeps it off the path of ordinary users."""
    return shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin") or ""


def longest_wait(port: int, *, is_tls: bool, senders: int = SENDERS, seconds: float = SECONDS) -> float:
    """The longest wait for /health, in seconds, while so many send without end; LONGEST_WAIT: none came."""
    _until_up(port, is_tls=is_tls)
    over, sending = threading.Event(), threading.Semaphore(0)
    threads = [
        threading.Thread(target=_send_slowly, args=(port, is_tls, sending, over), daemon=True)
        for _ in range(senders)
    ]
    for thread in threads:
        thread.start()
    if not all(sending.acquire(timeout=LONGEST_WAIT) for _ in threads):
        raise SystemExit("Not every sender got in.")
    waits, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        began = time.monotonic()
        with contextlib.suppress(OSError):
            _health(port, is_tls=is_tls)
        waits.append(time.monotonic() - began)
        time.sleep(0.2)
    over.set()
    for thread in threads:
        thread.join(LONGEST_WAIT)
    return max(waits)


def _send_slowly(port: int, is_tls: bool, sending: threading.Semaphore, over: threading.Event) -> None:
    with contextlib.suppress(OSError), _opened(port, is_tls=is_tls, source=FROM) as line:
        line.sendall(
            f"POST /price HTTP/1.1\r\nHost: {HOST}\r\nX-Forwarded-Proto: https\r\n"
            "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 100000\r\n\r\n".encode()
        )
        line.sendall(b"a")
        sending.release()
        while not over.wait(1):
            line.sendall(b"a")


def _health(port: int, *, is_tls: bool) -> bytes:
    with _opened(port, is_tls=is_tls) as line:
        line.sendall(
            f"GET /health HTTP/1.1\r\nHost: {HOST}\r\n"
            "X-Forwarded-Proto: https\r\nConnection: close\r\n\r\n".encode()
        )
        return line.recv(200)


def _opened(port: int, *, is_tls: bool, source: str = "127.0.0.1") -> socket.socket:
    line = socket.create_connection(("127.0.0.1", port), timeout=LONGEST_WAIT, source_address=(source, 0))
    if not is_tls:
        return line
    return TRUSTING.wrap_socket(line, server_hostname=HOST)


def _until_up(port: int, *, is_tls: bool) -> None:
    """Until both processes have their pages in memory: the first answer of each takes seconds."""
    quick, until = 0, time.monotonic() + 3 * LONGEST_WAIT
    while quick < QUICK_ANSWERS and time.monotonic() < until:
        began = time.monotonic()
        with contextlib.suppress(OSError):
            is_well = b" 200 " in _health(port, is_tls=is_tls)
            quick = quick + 1 if is_well and time.monotonic() - began < BAR_SECONDS else 0
        time.sleep(0.1)
    if quick < QUICK_ANSWERS:
        raise SystemExit("The app was never quick, whoever sent what: the machine is too busy to measure.")


def main(argv: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--senders", type=int, default=SENDERS)
    parser.add_argument("--seconds", type=float, default=SECONDS)
    asked = parser.parse_args(argv)
    if not nginx():
        print("nginx is not installed: left out.")
        return 0
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that its folder goes then too
    with tempfile.TemporaryDirectory(prefix="firewood-slow-") as folder, app(Path(folder)) as port:
        with door(Path(folder), port) as front:
            calm = longest_wait(front, is_tls=True, senders=0, seconds=asked.seconds)
            behind = longest_wait(front, is_tls=True, senders=asked.senders, seconds=asked.seconds)
        alone = longest_wait(port, is_tls=False, senders=asked.senders, seconds=asked.seconds)
    is_kept = behind <= BAR_SECONDS
    print(
        f"{asked.senders} slow senders: /health at most {behind:.2f} s behind the shipped nginx "
        f"({calm:.2f} s without them), {alone:.2f} s without nginx  {'kept' if is_kept else 'MISSED'}"
    )
    return not is_kept


if __name__ == "__main__":
    sys.exit(main())
