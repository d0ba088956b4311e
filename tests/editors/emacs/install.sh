#!/usr/bin/env bash
# Unpacks Emacs 30 and lsp-mode of Debian 13 into target/emacs, beside the system, and writes target/emacs/emacs, which starts it.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
dir=$top/target/emacs
[ -x "$dir/emacs" ] && exit 0
bash "$here/../unpack.sh" trixie "$dir" usr/bin/emacs-nox emacs-nox elpa-lsp-mode
share=$(cd "$dir"/usr/share/emacs/[0-9]* && pwd)
exec_path=$(cd "$dir"/usr/libexec/emacs/[0-9]*/*-linux-gnu* && pwd)
# It was built for /usr: it must be told where its own files are.
cat > "$dir/emacs" <<END
#!/bin/sh
EMACSLOADPATH=$(find "$share/lisp" -type d | sort | tr '\n' ':' | sed 's/:$//') EMACSDATA=$share/etc EMACSDOC=$share/etc EMACSPATH=$exec_path
TERMINFO_DIRS=\${TERMINFO_DIRS:-/etc/terminfo:/lib/terminfo:/usr/share/terminfo}
export EMACSLOADPATH EMACSDATA EMACSDOC EMACSPATH TERMINFO_DIRS
exec "$dir/run" --dump-file=$(ls "$exec_path"/*.pdmp) "\$@"
END
chmod +x "$dir/emacs"
