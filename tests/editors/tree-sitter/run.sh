#!/usr/bin/env bash
# The tree-sitter grammar: what is committed is what grammar.js gives; its own tests; a real Neovim reads it
# and its queries; and it agrees with the program's reading.
# With --write: makes the committed files anew.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
grammar=$top/editors/tree-sitter-harness
for tool in cargo cc node python3; do
  command -v "$tool" >/dev/null || { echo "this test wants $tool" >&2; exit 1; }
done
export CARGO_TARGET_DIR=$top/target
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cd "$here/generate"
cargo run --locked --quiet -- "$grammar" "$work"
for file in parser.c grammar.json node-types.json tree_sitter/parser.h tree_sitter/alloc.h tree_sitter/array.h; do
  [ "${1:-}" != --write ] || install -D -m 644 "$work/$file" "$grammar/src/$file"
  cmp "$work/$file" "$grammar/src/$file" || { echo "src/$file is stale: run $0 --write" >&2; exit 1; }
done

bash "$top/tests/editors/unpack.sh" forky "$top/target/tools/tree-sitter" usr/bin/tree-sitter tree-sitter-cli
cd "$grammar"
XDG_CACHE_HOME=$work/cache XDG_CONFIG_HOME=$work/config "$top/target/tools/tree-sitter/run" test

venv=$top/target/neovim
if [ ! -x "$venv/bin/nvim" ]; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --disable-pip-version-check --require-hashes -r "$top/tests/editors/neovim/requirements.txt"
fi
mkdir -p "$work/neovim/parser"
cc -shared -fPIC -O2 -I src src/parser.c src/scanner.c -o "$work/neovim/parser/harness.so"
XDG_STATE_HOME=$work XDG_DATA_HOME=$work XDG_CONFIG_HOME=$work PLAN=$top/tests/editors/neovim/chain.harness \
  timeout 120 "$venv/bin/nvim" --clean --headless --cmd "set rtp^=$top/editors/neovim,$grammar,$work/neovim" -c "luafile $here/neovim.lua"
echo

cd "$here/agree"
cargo fmt --check
cp "$top/Cargo.lock" .
cargo test --quiet
