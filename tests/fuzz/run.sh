#!/usr/bin/env bash
# Fuzzes each target for so many seconds (60 without a number), from the plans that come with the project.
#   tests/fuzz/run.sh [SECONDS] [TARGET…]
# It is no part of `cargo test`, nor of `.ci/run`: it takes as long as it is given, and first some minutes to build. What it has found is
# kept as tests where the fault was. cargo-fuzz asks the compiler for coverage, which a stable one gives only when told that it may.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
seconds=${1:-60}
shift || true
targets=${*:-reading layout editing solving mending}
export PATH=$top/target/tools/fuzz/bin:$PATH
command -v cargo-fuzz >/dev/null || cargo install --locked --quiet --root "$top/target/tools/fuzz" cargo-fuzz
export RUSTC_BOOTSTRAP=1
for target in $targets; do
  corpus=$top/target/fuzz/corpus/$target
  found=$top/target/fuzz/found/$target
  mkdir -p "$corpus" "$found"
  cp -n "$top"/docs/examples/*.harness "$top"/tests/plans/*/*.harness "$corpus/" 2>/dev/null || true
  # Dice, for the targets that write plans by them (written.rs).
  for k in $(seq 40); do
    [ -e "$corpus/dice$k" ] || { printf '\200'; head -c $((k * 12)) /dev/urandom; } > "$corpus/dice$k"
  done
  # Reading is fastest in small pieces. A second is judged by the wall clock: on a busy machine it takes more.
  longest=$([ "$target" = reading ] && echo 160 || echo 4096)
  cargo fuzz run --fuzz-dir "$here" --target-dir "$top/target/fuzz/build" --sanitizer none "$target" "$corpus" -- \
    -max_total_time="$seconds" -timeout="${GLIMLOOM_HANG:-1}" -rss_limit_mb=512 -max_len="$longest" -dict="$here/words.dict" \
    -artifact_prefix="$found/" -print_final_stats=1
done
