#!/bin/sh
# Bring the database up to date, after a backup, and refuse an unsafe one before the first request is answered.
# Beside the server, ask again and again for the night's backup (the command itself knows whether one is due), and send
# the mail where a mail server is set.
set -eu
umask 077
trap 'exit 143' TERM INT # stopped while it starts: once the present step is done, and not by a kill in the middle of it

ask_every() {
    pause=$1
    shift
    sleep 60
    while :; do
        python manage.py "$@" || true
        sleep "$pause"
    done
}

python manage.py backup --before-update
python manage.py migrate --noinput --verbosity=1
python manage.py recount --if-empty
python manage.py check_database
ask_every 900 backup --if-due &
if python -c 'import sys; from regrind.settings import EMAIL_HOST; sys.exit(not EMAIL_HOST)'; then
    ask_every 60 mail &
fi
exec "$@"
