#!/usr/bin/env bash
# How soon what was typed is found, here and in general language servers, one after the other on the same machine.
# Usage: tests/bench/others/run.sh [--lines 200,2000] [--keys 40] [names]. Needs Python 3.11, npm, and the release build.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
[ -x "$top/target/release/glimloom" ] || (cd "$top" && cargo build --release --locked)
exec python3 "$here/measure.py" "$@"
