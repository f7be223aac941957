#!/bin/sh
# Bring the database up to date and refuse an unsafe one before the first request is answered.
set -eu
python manage.py migrate --noinput --verbosity=1
python manage.py recount --if-empty
python manage.py check_database
exec "$@"
