#!/usr/bin/env bash
# Installs, into the folder that is given, VS Code as a page (code-server) with a driver for a browser. From npm and Debian, by their
# ordinary clients. What cannot be installed is named, and the run ends.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
dir=$(cd "$1" && pwd)
stamp=$(cat "$here/install.sh" "$here/package.json" "$here/package-lock.json" | sha256sum | cut -d' ' -f1)
[ "$(cat "$dir/installed" 2>/dev/null)" = "$stamp" ] && exit 0

missing() { echo "cannot install $1" >&2; exit 1; }
# quietly WHAT COMMAND…: its output is shown only when it fails.
quietly() {
  local what=$1; shift
  "$@" > "$dir/install.log" 2>&1 || { tail -n 30 "$dir/install.log" >&2; missing "$what"; }
}
for tool in node npm g++ make python3; do command -v "$tool" >/dev/null || missing "VS Code: $tool is missing"; done

packages=()
command -v rg >/dev/null || packages+=(ripgrep)
command -v chromium >/dev/null || packages+=(chromium)
if [ ${#packages[@]} -gt 0 ]; then
  quietly "the package lists of Debian" apt-get update -qq
  quietly "${packages[*]}" apt-get install -y -qq --no-install-recommends "${packages[@]}"
fi

# Headers of the Node that is here, for what is compiled: none are fetched.
node=$(dirname "$(dirname "$(node -p process.execPath)")")
[ -f "$node/include/node/node.h" ] || missing "VS Code: the headers of Node are missing in $node/include/node"
export npm_config_nodedir=$node npm_config_yes=true npm_config_audit=false npm_config_fund=false npm_config_update_notifier=false

rm -rf "$dir/node_modules"
cp "$here/package.json" "$here/package-lock.json" "$dir/"
cd "$dir"
quietly "code-server and playwright-core" npm ci --ignore-scripts
quietly "argon2, for code-server" npm rebuild argon2 --foreground-scripts
cd node_modules/code-server/lib/vscode
quietly "the modules of VS Code" npm install --ignore-scripts --omit=dev
mkdir -p node_modules/@vscode/ripgrep/bin
ln -sf "$(command -v rg)" node_modules/@vscode/ripgrep/bin/rg
quietly "the native modules of VS Code" npm rebuild node-pty @vscode/spdlog native-watchdog --foreground-scripts
ln -sfn node_modules node_modules.asar
cd extensions
quietly "the modules of VS Code's own extensions" npm install --ignore-scripts --omit=dev
echo "$stamp" > "$dir/installed"
