#!/usr/bin/env bash
# Emacs on a screen, as try.sh starts it: what a builder sees and types. GLIMLOOM_WRITE=1 writes the pictures of docs/editors.md.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom} EMACS=$top/target/emacs/emacs
bash "$here/install.sh"
work=$(mktemp -d)
. "$here/../terminal.sh"
trap 'terminal_end; rm -rf "$work"' EXIT
export HOME=$work
mkdir "$work/plans"
cp "$top/docs/examples/mistakes.harness" "$work/plans"
cd "$work/plans"
columns=116 rows=44 terminal_start sh "$top/editors/emacs/try.sh" -nw mistakes.harness

terminal_wait "Tanner's Row"
terminal_wait "Flymake[2 2]"              # two errors, two warnings
terminal_keys M-g g; terminal_keys -l 42; terminal_keys Enter C-l M-f M-f M-b
terminal_wait "V 99.4 mA"                 # a hint
terminal_wait "have their power through"
terminal_picture "$top/docs/pictures/emacs.png"

terminal_keys C-h .
terminal_wait "If it breaks"
terminal_picture "$top/docs/pictures/emacs-hover.png"
terminal_keys C-x 1

terminal_keys M-x; terminal_keys -l 'eglot-code-actions'; terminal_keys Enter
terminal_wait "Pick an action"
terminal_keys Tab Tab
terminal_wait "close the ring from grocer"
terminal_picture "$top/docs/pictures/emacs-mends.png"
terminal_keys -l 'branch'; terminal_keys Tab Enter
terminal_wait_gone "from baker  over"
terminal_keys C-n C-n
terminal_picture "$top/docs/pictures/emacs-branched.png"
terminal_keys C-p C-p M-f M-f M-f M-f M-b; terminal_keys M-d; terminal_keys -l '18'
terminal_wait "Flymake[1 1]"              # one error, one warning: the cut is right
terminal_keys C-/ C-/
terminal_wait "Flymake[2 1]"
terminal_keys C-x C-s
terminal_wait "Wrote"
terminal_keys C-x C-c
terminal_wait_end
grep -q "^strip  draper of warm 15 lamps *from cellar" mistakes.harness
echo "ok it is saved"
