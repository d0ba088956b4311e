#!/usr/bin/env bash
# What a builder gets: the package of a fresh clone has every file, and installs without anything else; the manual and the completions of
# the shells are where the README puts them.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "FAILED: $*" >&2; exit 1; }

git clone --quiet --no-hardlinks "$top" "$work/clone"
cd "$work/clone"
version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -n 1)
grep -q "^## $version" docs/releases.md || fail "docs/releases.md says nothing of $version"

# That the manifest names no address of the project is known: there is none yet.
cargo package --locked --offline --no-verify --no-metadata --target-dir "$work/package" > "$work/said" 2>&1 || { cat "$work/said"; fail "it cannot be packed"; }
grep -i warning "$work/said" && fail "the package is not clean"
tar -xzf "$work/package/package/glimloom-$version.crate" -C "$work"
(cd "$work/glimloom-$version" && find . -type f | sed 's|^\./||' | sort) > "$work/packed"
# A folder with a manifest of its own is another package.
mapfile -t others < <(git ls-files '*/Cargo.toml' | sed 's|^|:!|; s|/Cargo.toml$||')
git ls-files -- . "${others[@]}" | grep -v '^\.\|^clippy.toml$' | sort > "$work/kept"
comm -13 "$work/packed" "$work/kept" > "$work/missing"
[ -s "$work/missing" ] && { cat "$work/missing"; fail "the package lacks these"; }
echo "ok the package of $version has all files"

export CARGO_TARGET_DIR=$top/target
cargo install --path "$work/glimloom-$version" --locked --offline --debug --quiet --no-track --root "$work/installed"
program=$work/installed/bin/glimloom
[ "$("$program" --version)" = "glimloom $version" ] || fail "it is another version: $("$program" --version)"
"$program" check docs/examples/night-ferry.harness
"$program" man > "$work/glimloom.1"
grep -q '^\.TH glimloom 1' "$work/glimloom.1" || fail "there is no manual page"
"$program" completions bash > "$work/glimloom"
# shellcheck disable=SC2016
offered=$(bash -c '. "$1"; COMP_WORDS=(glimloom ch); COMP_CWORD=1; _glimloom glimloom ch glimloom; echo "${COMPREPLY[@]}"' - "$work/glimloom")
[ "$offered" = check ] || fail "bash completes \`ch\` as: $offered"
echo "ok it installs, with its manual and completions"
