#!/bin/sh
# Opens a plan in Neovim with the server from this folder's build, and no other configuration.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
export GLIMLOOM
[ -x "$GLIMLOOM" ] || { echo "build first: cargo build --release" >&2; exit 2; }
[ $# -gt 0 ] || set -- "$top/docs/examples/mistakes.harness"
exec "${NVIM:-nvim}" --clean --cmd "set rtp^=$here" -c "luafile $here/try.lua" -c 'edit' "$@"
