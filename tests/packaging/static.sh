#!/usr/bin/env bash
# A static program for Linux, where the toolchain has the target for it (musl); it works out the same figures as the one of the release
# build. `--release` builds it as it is to be handed out. Not a part of .ci/run: it builds everything once more.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
GLIMLOOM=${GLIMLOOM:-$top/target/release/glimloom}
cd "$top"
target=$(rustc -vV | sed -n 's/^host: \(.*\)-unknown-linux-gnu$/\1-unknown-linux-musl/p')
if [ -z "$target" ] || [ ! -d "$(rustc --print sysroot)/lib/rustlib/$target" ]; then
  echo "NOT BUILT: the toolchain has no target ${target:-for it on this system}; \`rustup target add ${target:-…}\` brings it" >&2
  exit 1
fi
# One dependency has a few lines of assembly, for which the compiler of the system will do.
export "CC_${target//-/_}=${CC:-cc}"
profile=debug release=()
[ "${1:-}" = --release ] && profile=release release=(--release)
cargo build --locked --quiet --bin glimloom --target "$target" "${release[@]}"
static=target/$target/$profile/glimloom
said=$(ldd "$static" 2>&1 || true)
case $said in *"statically linked"* | *"not a dynamic"*) ;; *) echo "FAILED: $static is not static: $said" >&2; exit 1 ;; esac
cmp <("$GLIMLOOM" figures --json docs/examples/night-ferry.harness) <("$static" figures --json docs/examples/night-ferry.harness)
echo "ok $static is static, and works out the same figures"
