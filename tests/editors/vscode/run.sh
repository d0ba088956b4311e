#!/usr/bin/env bash
# A real VS Code (as a page, in a browser without a screen) with the packed extension: tests inside its extension host, and what a
# builder sees, with pictures. Usage: run.sh [--write], which puts the pictures into docs/pictures; GLIMLOOM names the program
# (default: the release build). What cannot be installed ends the run with its name.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export TOP=$top GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom} VSCODE_INSTALLED=$top/target/vscode
[ -x "$GLIMLOOM" ] || { echo "build first: cargo build --release" >&2; exit 2; }
GLIMLOOM=$(realpath "$GLIMLOOM")
bash "$here/install.sh" "$VSCODE_INSTALLED"
CHROMIUM=$(command -v chromium) && export CHROMIUM

cd "$top/editors/vscode"
if ! cmp -s package-lock.json node_modules/installed; then
  npm ci --no-audit --no-fund --loglevel=error || { echo "cannot install what builds the extension" >&2; exit 1; }
  cp package-lock.json node_modules/installed
fi
npm run --silent check
VSIX=$(npm run --silent pack | tail -n 1) && export VSIX
VSIX_WITH_PROGRAM=$(npm run --silent pack -- "$GLIMLOOM" | tail -n 1) && export VSIX_WITH_PROGRAM

cd "$here"
node colours.mjs
node inside.mjs
node looks.mjs "$@"
node panels.mjs "$@"
node trouble.mjs
