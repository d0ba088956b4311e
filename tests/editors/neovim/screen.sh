#!/usr/bin/env bash
# Neovim on a screen, as try.sh starts it: what a builder sees and types. GLIMLOOM_WRITE=1 writes the pictures of docs/editors.md.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
export GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom} NVIM=$top/target/neovim/bin/nvim
bash "$here/install.sh"
work=$(mktemp -d)
. "$here/../terminal.sh"
trap 'terminal_end; rm -rf "$work"' EXIT
export XDG_STATE_HOME=$work XDG_DATA_HOME=$work XDG_CONFIG_HOME=$work
mkdir "$work/plans"
cp "$top/docs/examples/mistakes.harness" "$work/plans"
cd "$work/plans"
columns=116 rows=32 terminal_start sh "$top/editors/neovim/try.sh" mistakes.harness

terminal_wait "Tanner's Row"
terminal_keys -l '42ggzz7l'
terminal_wait "V 99.4 mA"                 # a hint
terminal_wait "15 lamps or 18 lamps."
terminal_picture "$top/docs/pictures/neovim.png"

terminal_keys -l 'K'
terminal_wait "If it breaks"
terminal_picture "$top/docs/pictures/neovim-hover.png"
terminal_keys -l 'hl'
terminal_wait_gone "If it breaks"

terminal_keys -l 'gra'
terminal_wait "branch draper and grocer from cellar"
terminal_picture "$top/docs/pictures/neovim-mends.png"
terminal_keys -l "$(terminal_screen | sed -n 's/^ *\([0-9]*\): branch draper.*/\1/p')"
terminal_keys Enter
terminal_wait_gone "from baker  over"
terminal_keys -l 'jj'
terminal_picture "$top/docs/pictures/neovim-branched.png"

terminal_keys -l 'kkA  # too'
terminal_keys Escape
terminal_wait "# too"
terminal_keys -l 'u0f1cw18'
terminal_keys Escape
terminal_wait_gone "15 lamps or 18 lamps."
terminal_keys -l 'u'
terminal_wait "15 lamps or 18 lamps."
terminal_keys -l ':wq'
terminal_keys Enter
terminal_wait_end
grep -q "^strip  draper of warm 15 lamps *from cellar" mistakes.harness
echo "ok it is saved"
