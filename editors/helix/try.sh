#!/bin/sh
# Opens a plan in Helix with the server from this folder's build, and no other configuration.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
[ -x "$GLIMLOOM" ] || { echo "build first: cargo build --release" >&2; exit 2; }
helix=${HELIX:-$(command -v hx || command -v helix)} || { echo "Helix (hx) is not installed" >&2; exit 2; }
[ $# -gt 0 ] || set -- "$top/docs/examples/mistakes.harness"

# A configuration folder of its own, as the README has it.
home=${HELIX_TRY_HOME:-$top/target/helix-try}
config=$home/helix
grammar=$top/editors/tree-sitter-harness/src
mkdir -p "$config/runtime/queries" "$config/runtime/grammars" "$home/bin"
cp "$here/languages.toml" "$config/languages.toml"
cp -R "$here/queries/harness" "$config/runtime/queries/"
library=$config/runtime/grammars/harness.so
if ! [ "$library" -nt "$grammar/parser.c" ] || ! [ "$library" -nt "$grammar/scanner.c" ]; then
  cc -shared -fPIC -O2 -I "$grammar" "$grammar/parser.c" "$grammar/scanner.c" -o "$library" || echo "without colours" >&2
fi
cat > "$config/config.toml" <<'END'
[editor]
end-of-line-diagnostics = "hint"
bufferline = "multiple"

[editor.inline-diagnostics]
cursor-line = "warning"

[editor.lsp]
display-inlay-hints = true

[editor.statusline]
right = ["diagnostics", "position", "file-encoding", "file-line-ending"]
END
ln -sf "$GLIMLOOM" "$home/bin/glimloom"
PATH=$home/bin:$PATH XDG_CONFIG_HOME=$home XDG_CACHE_HOME=$home/cache exec "$helix" "$@"
