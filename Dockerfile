# The app as one image for web and worker. Any Debian base with Python 3.12 or newer will do:
#   docker build --build-arg BASE=python:3.13-slim -t firewood .
ARG BASE=python:3.13-slim
FROM ${BASE}
ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 PIP_NO_CACHE_DIR=1 PIP_DISABLE_PIP_VERSION_CHECK=1
# pg_dump and pg_restore, for copies of the books
RUN apt-get update && apt-get install -y --no-install-recommends postgresql-client && rm -rf /var/lib/apt/lists/*
WORKDIR /app
COPY deploy/requirements.txt deploy/requirements.txt
RUN python3 -m venv /venv && /venv/bin/pip install --require-hashes -r deploy/requirements.txt
COPY . .
ENV PATH=/venv/bin:/usr/local/bin:/usr/bin:/bin DEMO=no DATA_DIR=/data STATIC_ROOT=/app/staticfiles
RUN DATA_DIR=/tmp/build SECRET_KEY=only-while-building python manage.py collectstatic --noinput \
 && /usr/sbin/useradd --system --uid 10001 --home-dir /data firewood && mkdir -p /data /backups \
 && chown firewood /data /backups
USER firewood
VOLUME ["/data", "/backups"]
EXPOSE 8000
HEALTHCHECK --interval=30s --timeout=5s --start-period=20s CMD ["python", "deploy/healthy.py"]
CMD ["gunicorn", "firewood_site.wsgi", "--config", "deploy/gunicorn.py"]
