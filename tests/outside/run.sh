#!/bin/sh
# Holds the program against the independent reading and solution and against published values.
# Usage: tests/outside/run.sh [pytest arguments]; GLIMLOOM_BIN names the program (default: the release build).
set -eu
cd "$(dirname "$0")"
if [ ! -x .venv/bin/pytest ]; then
    python3.11 -m venv .venv 2>/dev/null || python3 -m venv .venv
    .venv/bin/python -m pip install --quiet --disable-pip-version-check -r requirements.txt
fi
exec .venv/bin/python -m pytest -q --tb=short -p no:cacheprovider --color=no "$@"
