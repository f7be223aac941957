# The application on PostgreSQL; docker-compose.yml starts both. The client tools must be of the server's version
# (15), which is what this Debian carries: a newer pg_dump writes what an older server cannot read back.
FROM python:3.11-slim-bookworm

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 PIP_NO_CACHE_DIR=1 PIP_DISABLE_PIP_VERSION_CHECK=1

RUN apt-get update \
    && apt-get install -y --no-install-recommends postgresql-client-15 \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --system --uid 10001 --home-dir /app --shell /usr/sbin/nologin regrind \
    && install -d -m 0700 -o regrind -g regrind /data /backups

WORKDIR /app
COPY requirements/runtime.txt requirements/postgres.txt requirements/
RUN pip install --require-hashes --no-deps -r requirements/runtime.txt -r requirements/postgres.txt

COPY manage.py pyproject.toml LICENSE NOTICE ./
COPY scripts/container scripts/container
COPY shared shared
COPY static static
COPY docs/handbook docs/handbook
COPY templates templates
COPY regrind regrind
# A checkout made under umask 077 has files that only root could read here.
RUN chmod -R a+rX /app && python manage.py collectstatic --noinput --verbosity=0

USER regrind
ENV REGRIND_DATA=/data REGRIND_BACKUPS=/backups
VOLUME /data /backups
EXPOSE 8000
ENTRYPOINT ["sh", "/app/scripts/container/enter.sh"]
CMD ["gunicorn", "--bind=0.0.0.0:8000", "--workers=4", "--threads=4", "--worker-tmp-dir=/dev/shm", "--no-control-socket", \
     "regrind.wsgi:application"]
HEALTHCHECK --interval=30s --timeout=5s --start-period=60s CMD ["python", "/app/scripts/container/health.py"]
