#!/bin/sh
# Opens a plan in Emacs with the server from this folder's build, and no other configuration.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
export GLIMLOOM
[ -x "$GLIMLOOM" ] || { echo "build first: cargo build --release" >&2; exit 2; }
[ $# -gt 0 ] || set -- "$top/docs/examples/mistakes.harness"
exec "${EMACS:-emacs}" -Q -l "$here/harness-mode.el" -l "$here/try.el" "$@"
