#!/usr/bin/env bash
# Fuzzes each target for so many seconds (60 without a number), from the plans that come with the project.
#   tests/fuzz/run.sh [SECONDS] [TARGET…]
# cargo-fuzz asks the compiler for coverage, which a stable one gives only when told that it may.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../.." && pwd)
seconds=${1:-60}
shift || true
targets=${*:-reading layout editing solving mending}
command -v cargo-fuzz >/dev/null || cargo install --locked --quiet cargo-fuzz
export RUSTC_BOOTSTRAP=1
for target in $targets; do
  corpus=$top/target/fuzz/corpus/$target
  mkdir -p "$corpus" "$top/target/fuzz/artifacts/$target"
  cp -n "$top"/docs/examples/*.harness "$top"/tests/plans/*/*.harness "$corpus/" 2>/dev/null || true
  cargo fuzz run --fuzz-dir "$here" --target-dir "$top/target/fuzz/build" --sanitizer none "$target" "$corpus" -- \
    -max_total_time="$seconds" -timeout=1 -rss_limit_mb=512 -max_len=4096 -dict="$here/words.dict" \
    -artifact_prefix="$top/target/fuzz/artifacts/$target/" -print_final_stats=1
done
