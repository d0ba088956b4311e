#!/usr/bin/env bash
# The papers as somebody else sees them: an HTML validator, a browser on screens of three widths and on two sizes of paper, the
# rules of accessibility, a Markdown reader. GLIMLOOM names the program (default: the release build); SHOTS a folder for pictures.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
dir=$top/target/papers
mkdir -p "$dir"
quietly() { "$@" > "$dir/install.log" 2>&1 || { tail -n 30 "$dir/install.log" >&2; echo "cannot do: $*" >&2; exit 1; }; }
if ! command -v chromium > /dev/null; then
  quietly apt-get update -qq
  quietly apt-get install -y -qq --no-install-recommends chromium fonts-dejavu-core
fi
stamp=$(cat "$here/package-lock.json" | sha256sum)
if [ "$(cat "$dir/installed" 2>/dev/null)" != "$stamp" ]; then
  cp "$here/package.json" "$here/package-lock.json" "$dir/"
  (cd "$dir" && quietly npm ci --ignore-scripts --no-fund --no-audit)
  echo "$stamp" > "$dir/installed"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp "$here"/*.mjs "$work/"
ln -s "$dir/node_modules" "$work/node_modules"
for plan in "$top"/docs/examples/{night-ferry,lock-harbour,signal-cabin}.harness "$here"/*.harness; do
  name=$(basename "$plan" .harness)
  "$GLIMLOOM" sheet "$plan" -o "$work/$name.html" > /dev/null
  "$GLIMLOOM" sheet "$plan" --markdown -o "$work/$name.md" > /dev/null
done
cd "$work" && timeout 300 node check.mjs
