#!/usr/bin/env bash
# What the server asks of the system, watched by strace: it opens no sockets to anywhere, starts no programs, and writes no files.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
if ! command -v strace >/dev/null; then
  { apt-get update -qq && apt-get install -y -qq --no-install-recommends strace; } >/dev/null 2>&1 || {
    echo "strace could not be installed: what the server asks of the system cannot be shown" >&2
    exit 1
  }
fi
python3 "$here/watch.py"
exec python3 "$here/writing.py"
