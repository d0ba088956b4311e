#!/usr/bin/env bash
# A real Helix in a terminal: findings, colours, hover, completion, the branching fix, rename across two files, format, and files with
# CRLF and letters beyond the first plane. With GLIMLOOM_WRITE, writes the pictures of the documentation too.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
[ -x "$GLIMLOOM" ] || { echo "build first: cargo build --release" >&2; exit 1; }
for tool in cc python3; do
  command -v "$tool" >/dev/null || { echo "this test wants $tool" >&2; exit 1; }
done
unpacked=$top/target/tools/helix
bash "$top/tests/editors/unpack.sh" trixie "$unpacked" usr/lib/hx/hx hx
venv=$top/target/helix-venv
if [ ! -x "$venv/bin/python" ] || ! "$venv/bin/python" -c 'import pyte' 2>/dev/null; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --disable-pip-version-check --require-hashes -r "$here/requirements.txt"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/plans" "$work/plans/.git"
chain=$here/../neovim/chain.harness
cp "$chain" "$work/plans/"
sed 's/saloon-/s\xf0\x90\x90\xb7\xf0\x90\x90\xa8-/g; s/# chained/# \xf0\x9f\x98\x80 chained/; s/$/\r/' "$chain" > "$work/plans/beyond.harness"
cp "$top/docs/examples/mistakes.harness" "$here"/row.harness "$here"/stock.harness "$work/plans/"
if [ -n "${GLIMLOOM_WRITE:-}" ]; then
  export PICTURES=$work/pictures
  mkdir "$PICTURES"
fi
export HELIX=$unpacked/run HELIX_RUNTIME=$unpacked/usr/lib/hx/runtime HELIX_TRY_HOME=$work/home TRY=$top/editors/helix/try.sh
drive() { WORK=$work/plans timeout 300 "$venv/bin/python" "$here/drive.py"; }
drive

WORK=$work
. "$here/../scenario.sh"
scenario drive

if [ -n "${GLIMLOOM_WRITE:-}" ]; then
  "$venv/bin/python" -m pip install --quiet --disable-pip-version-check pillow==11.3.0
  for screen in "$PICTURES"/*; do "$venv/bin/python" "$here/../picture.py" "$screen" "$top/docs/pictures/$(basename "$screen").png"; done
fi
