#!/bin/sh
# Bring the database up to date, after a backup, and refuse an unsafe one before the first request is answered.
# Beside the server, ask again and again for the night's backup: the command itself knows whether one is due.
set -eu
umask 077
python manage.py backup --before-update
python manage.py migrate --noinput --verbosity=1
python manage.py recount --if-empty
python manage.py check_database
(
    sleep 60
    while :; do
        python manage.py backup --if-due || true
        sleep 900
    done
) &
exec "$@"
