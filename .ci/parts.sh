# What the checks need that Python packages do not bring. Sourced by .ci/run.

# Debian's own Python comes first: most shops have it, and it is built with the compiler's optimization.
SYSTEM_PYTHON=/usr/bin/python3

is_new_enough() {
    "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null
}

# Debian packages them apart from Python.
can_make_environments() {
    "$1" -c 'import venv, ensurepip' 2>/dev/null
}

# The first Python that is new enough and can make environments.
find_python() {
    local name
    for name in $SYSTEM_PYTHON python3 python3.14 python3.13 python3.12 python3.11; do
        if is_new_enough "$name" && can_make_environments "$name"; then
            echo "$name"
            return 0
        fi
    done
    return 1
}

lacks_venv() {
    if is_new_enough $SYSTEM_PYTHON; then
        ! can_make_environments $SYSTEM_PYTHON
    else
        ! find_python >/dev/null
    fi
}

has_postgres() {
    compgen -G '/usr/lib/postgresql/*/bin/initdb' >/dev/null || command -v initdb >/dev/null
}

has_chromium() {
    [ -n "${CHROMIUM:-}" ] || command -v chromium-headless-shell >/dev/null
}

# Playwright's driver is linked with it; most machines have it by way of a compiler.
has_libatomic() {
    [[ "$(ldconfig -p)" == *libatomic.so.1* ]]
}

# Debian's names of what is not there yet, on one line.
list_missing_packages() {
    local missing=()
    has_chromium || missing+=(chromium-headless-shell)
    has_postgres || missing+=(postgresql)
    has_libatomic || missing+=(libatomic1)
    command -v openssl >/dev/null || missing+=(openssl)
    command -v systemd-analyze >/dev/null || missing+=(systemd)
    lacks_venv && missing+=(python3-venv)
    echo "${missing[*]}"
}

# A system that does not package the browser without windows has the whole one.
name_packaged() {
    local name
    for name in "$@"; do
        if [ "$name" = chromium-headless-shell ] && [ -z "$(apt-cache madison "$name")" ]; then
            name=chromium
        fi
        echo "$name"
    done
}

install_packages() {
    export DEBIAN_FRONTEND=noninteractive
    local try
    for try in 1 2 3; do
        # shellcheck disable=SC2046  # one word a package
        if apt-get update -qq &&
            apt-get install -qq -y --no-install-recommends $(name_packaged "$@") >/dev/null; then
            return 0
        fi
        echo "installing failed (try $try of 3)" >&2
        sleep $((try * 5))
    done
    return 1
}
