#!/usr/bin/env bash
# A real Neovim, without a screen: the findings, hover, the branching fix, and the saved file checks clean.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
venv=$top/target/neovim
if [ ! -x "$venv/bin/nvim" ]; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --disable-pip-version-check --require-hashes -r "$here/requirements.txt"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp "$here/chain.harness" "$work/chain.harness"
XDG_STATE_HOME=$work XDG_DATA_HOME=$work XDG_CONFIG_HOME=$work PLAN=$work/chain.harness \
  timeout 120 "$venv/bin/nvim" --clean --headless --cmd "set rtp^=$top/editors/neovim" -c "luafile $here/drive.lua"
echo
"$GLIMLOOM" check "$work/chain.harness"
[ "$("$GLIMLOOM" check --json "$work/chain.harness" | python3 -c 'import json,sys; print(len(json.load(sys.stdin)["findings"]))')" = 0 ]
for _ in $(seq 50); do
  pgrep -f "$GLIMLOOM serve" >/dev/null || { echo "the server ended with the editor"; exit 0; }
  sleep 0.1
done
echo "the server is still running after the editor has gone" >&2
exit 1
