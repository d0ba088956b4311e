#!/usr/bin/env bash
# A real Neovim, without a screen: the scenarios beside this file, and what is on the disk afterwards; what goes wrong outside of the plan; two
# older ones; and one on a screen.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export HERE=$here GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
bash "$here/install.sh"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export WORK=$work XDG_STATE_HOME=$work XDG_DATA_HOME=$work XDG_CONFIG_HOME=$work
findings() { "$GLIMLOOM" check --json "$1" | python3 -c 'import json,sys; print(*sorted(f["check"] for f in json.load(sys.stdin)["findings"]))' || true; }
must_be() { [ "$2" = "$3" ] || { printf 'FAILED: %s: %s, not %s\n' "$1" "$2" "$3" >&2; exit 1; }; echo "ok $1"; }
drive() { timeout 120 "$top/target/$1" --clean --headless --cmd "set rtp^=$top/editors/neovim" -c "luafile $here/$2"; echo; }
fresh() {
  rm -rf "$work/plans"
  git init --quiet "$work/plans"
  cp "$top"/docs/examples/*.harness "$here/chain.harness" "$here/../plans/ragged.harness" "$work/plans"
  sed 's/$/\r/' "$here/../plans/astral.harness" > "$work/plans/astral.harness"
}

fresh
drive neovim/bin/nvim chain.lua
must_be "the branched plan is sound on the disk" "$(findings "$work/plans/chain.harness")" ""
drive neovim/bin/nvim plans.lua
must_be "of the four mistakes the chain is mended, on the disk too" "$(findings "$work/plans/mistakes.harness")" \
  "cut-inside-group feed-unfused supply-over-budget"
must_be "both renamed files are sound" "$(findings "$work/plans/lock-harbour.harness")" ""
"$GLIMLOOM" format --check "$work/plans/ragged.harness"
must_be "the file with line ends of two letters is sound" "$(findings "$work/plans/astral.harness")" ""
must_be "it has kept all of them" "$(grep -c $'\r$' "$work/plans/astral.harness")" "$(wc -l < "$work/plans/astral.harness")"

. "$here/../scenario.sh"
scenario drive neovim/bin/nvim scenario.lua

for older in neovim-older neovim-oldest; do
  fresh
  drive $older/nvim older.lua
done

program() { printf '#!/bin/sh\n%s\n' "$2" > "$work/$1"; chmod +x "$work/$1"; }
program other 'echo "some other program 3.1"'
# shellcheck disable=SC2016
program real 'echo $$ > "$WORK/pid"; exec '"$GLIMLOOM"' "$@"'
trouble() {
  for folder in alone others; do mkdir -p "$work/$folder"; cp "$top/docs/examples/mistakes.harness" "$work/$folder"; done
  mkdir -p "$work/others/.git"
  (unset GLIMLOOM; PATH=/usr/bin:/bin WHAT=missing drive "$1" trouble.lua)
  GLIMLOOM=$work/other WHAT=other drive "$1" trouble.lua
  GLIMLOOM=$work/real WHAT=crash drive "$1" trouble.lua
  cp "$work/plans/mistakes.harness" "$work/plans/sealed.harness"
  chmod 444 "$work/plans/sealed.harness"
  WHAT=places drive "$1" trouble.lua
}
for each in neovim/bin neovim-older neovim-oldest; do
  fresh
  trouble $each/nvim
done
WHAT=large drive neovim/bin/nvim trouble.lua

bash "$here/screen.sh"

for _ in $(seq 50); do
  pgrep -f "$GLIMLOOM serve" >/dev/null || { echo "the server ended with the editor"; exit 0; }
  sleep 0.1
done
echo "the server is still running after the editor has gone" >&2
exit 1
