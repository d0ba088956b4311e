#!/usr/bin/env bash
# Every feature through a client library that was written by others, each message held against the protocol's own model.
# Usage: tests/protocol/run.sh [pytest arguments]; GLIMLOOM names the program (default: the release build).
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
venv=$top/target/protocol
if ! cmp -s "$here/requirements.txt" "$venv/installed.txt"; then
  python3.11 -m venv --clear "$venv" 2>/dev/null || python3 -m venv --clear "$venv"
  "$venv/bin/python" -m pip install --quiet --disable-pip-version-check -r "$here/requirements.txt"
  cp "$here/requirements.txt" "$venv/installed.txt"
fi
cd "$here"
exec "$venv/bin/python" -B -m pytest -q --tb=short -p no:cacheprovider --color=no "$@"
