#!/usr/bin/env bash
# What a builder gets: the package, unpacked, builds without anything else; a fresh clone installs; the manual and the completions of the
# shells are where the README puts them; a static program for Linux, where the toolchain has the target for it. `--release` builds that
# one as it is to be handed out.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
profile=debug
[ "${1:-}" = --release ] && profile=release
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export CARGO_TARGET_DIR=$top/target
fail() { echo "FAILED: $*" >&2; exit 1; }

git clone --quiet --no-hardlinks "$top" "$work/clone"
cd "$work/clone"
version=$(sed -n 's/^version = "\(.*\)"/\1/p' Cargo.toml | head -n 1)
grep -q "^## $version" docs/releases.md || fail "docs/releases.md says nothing of $version"

# That the manifest names no address of the project is known: there is none yet.
cargo package --locked --offline --no-verify --no-metadata --target-dir "$work/package" > "$work/said" 2>&1
grep -i warning "$work/said" && fail "the package is not clean"
tar -xzf "$work/package/package/glimloom-$version.crate" -C "$work"
(cd "$work/glimloom-$version" && find . -type f | sed 's|^\./||' | sort) > "$work/packed"
# A folder with a manifest of its own is another package.
mapfile -t others < <(git ls-files '*/Cargo.toml' | sed 's|^|:!|; s|/Cargo.toml$||')
git ls-files -- . "${others[@]}" | grep -v '^\.\|^clippy.toml$' | sort > "$work/kept"
comm -13 "$work/packed" "$work/kept" > "$work/missing"
[ -s "$work/missing" ] && { cat "$work/missing"; fail "the package lacks these"; }
(cd "$work/glimloom-$version" && cargo check --locked --offline --quiet)
echo "ok the package of $version has all files, and builds by itself"

cargo install --path . --locked --offline --debug --quiet --no-track --root "$work/installed"
program=$work/installed/bin/glimloom
[ "$("$program" --version)" = "glimloom $version" ] || fail "it is another version: $("$program" --version)"
"$program" check docs/examples/night-ferry.harness
"$program" man > "$work/glimloom.1"
grep -q '^\.TH glimloom 1' "$work/glimloom.1" || fail "there is no manual page"
"$program" completions bash > "$work/glimloom"
# shellcheck disable=SC2016
offered=$(bash -c '. "$1"; COMP_WORDS=(glimloom ch); COMP_CWORD=1; _glimloom glimloom ch glimloom; echo "${COMPREPLY[@]}"' - "$work/glimloom")
[ "$offered" = check ] || fail "bash completes \`ch\` as: $offered"
echo "ok a fresh clone installs, with its manual and completions"

target=$(rustc -vV | sed -n 's/^host: \(.*\)-unknown-linux-gnu$/\1-unknown-linux-musl/p')
if [ -z "$target" ] || [ ! -d "$(rustc --print sysroot)/lib/rustlib/$target" ]; then
  echo "NOT BUILT: a static program. The toolchain has no target ${target:-for it on this system}; \`rustup target add ${target:-…}\` brings it."
  exit 0
fi
release=()
[ "$profile" = release ] && release=(--release)
cargo build --locked --offline --quiet --bin glimloom --target "$target" "${release[@]}"
static=$CARGO_TARGET_DIR/$target/$profile/glimloom
ldd "$static" 2>&1 | grep -q "statically linked\|not a dynamic" || fail "$static is not static: $(ldd "$static" 2>&1)"
cmp <("$program" figures --json docs/examples/night-ferry.harness) <("$static" figures --json docs/examples/night-ferry.harness)
echo "ok $target/$profile/glimloom is static, and works out the same figures"
