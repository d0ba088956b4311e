#!/usr/bin/env bash
# A real Emacs, without a screen: the mode by itself, then plans with Eglot and with lsp-mode, and what is on the disk afterwards; and on one.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
bash "$here/install.sh"
emacs=$top/target/emacs/emacs
mode=$top/editors/emacs
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export HOME=$work WORK=$work EXAMPLES=$top/docs/examples
findings() { "$GLIMLOOM" check --json "$1" | python3 -c 'import json,sys; print(*sorted(f["check"] for f in json.load(sys.stdin)["findings"]))' || true; }
must_be() { [ "$2" = "$3" ] || { printf 'FAILED: %s: %s, not %s\n' "$1" "$2" "$3" >&2; exit 1; }; echo "ok $1"; }
start() { timeout 120 "$emacs" -Q --batch -L "$mode" "$@"; }

cp "$mode/harness-mode.el" "$work"
start --eval '(setq byte-compile-error-on-warn t)' -f batch-byte-compile "$work/harness-mode.el"
start -l checkdoc --eval '(let ((checkdoc-diagnostic-buffer "*warn*")) (checkdoc-file (expand-file-name "harness-mode.el" (getenv "WORK")))
  (when (get-buffer "*Warnings*") (kill-emacs 1)))'
start -l harness-mode -l "$here/mode.el"

git init --quiet "$work/plans"
cp "$EXAMPLES"/*.harness "$here/../plans/ragged.harness" "$work/plans"
eglot=(-l "$here/steps.el" -l "$here/eglot-steps.el")
start "${eglot[@]}" -l "$here/drive.el"
must_be "of the four mistakes the chain is mended, on the disk too" "$(findings "$work/plans/mistakes.harness")" \
  "cut-inside-group feed-unfused supply-over-budget"
must_be "both renamed files are sound" "$(findings "$work/plans/lock-harbour.harness")" ""
"$GLIMLOOM" format --check "$work/plans/ragged.harness"

for encoding in utf-8 utf-16 utf-32; do
  sed 's/$/\r/' "$here/../plans/astral.harness" > "$work/plans/astral.harness"
  ENCODING=$encoding start "${eglot[@]}" -l "$here/astral.el"
  must_be "the file with line ends of two letters is sound" "$(findings "$work/plans/astral.harness")" ""
  must_be "it has kept all of them" "$(grep -c $'\r$' "$work/plans/astral.harness")" "$(wc -l < "$work/plans/astral.harness")"
done

. "$here/../scenario.sh"
scenario start "${eglot[@]}" -l "$here/scenario.el"

cp "$EXAMPLES/mistakes.harness" "$work/plans"
lisp=$(printf -- '-L %s ' "$top"/target/emacs/usr/share/emacs/site-lisp/elpa-src/*)
# shellcheck disable=SC2086
start $lisp -l "$here/steps.el" -l "$here/with-lsp-mode.el"

bash "$here/screen.sh"

for _ in $(seq 50); do
  pgrep -f "$GLIMLOOM serve" >/dev/null || { echo "the server ended with the editor"; exit 0; }
  sleep 0.1
done
echo "the server is still running after the editor has gone" >&2
exit 1
