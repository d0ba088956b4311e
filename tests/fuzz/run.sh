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
targets=${*:-frames text cutting bodies figures stanza reading messages layout editing solving mending}
export PATH=$top/target/tools/fuzz/bin:$PATH
command -v cargo-fuzz >/dev/null || cargo install --locked --quiet --root "$top/target/tools/fuzz" cargo-fuzz
export RUSTC_BOOTSTRAP=1
for target in $targets; do
  corpus=$top/target/fuzz/corpus/$target
  found=$top/target/fuzz/found/$target
  mkdir -p "$corpus" "$found"
  # Short inputs are fast: those of most targets are pieces by their numbers.
  longest=64
  words=
  case $target in
  figures) longest=17 ;;
  frames | text | cutting) longest=96 ;;
  reading) longest=120 ;;
  layout) longest=400 ;;
  editing | solving | mending) longest=600 ;;
  esac
  case $target in
  reading | layout | editing | solving | mending)
    words=-dict=$here/words.dict
    cp -n "$top"/docs/examples/*.harness "$top"/tests/plans/*/*.harness "$corpus/" 2>/dev/null || true
    # Dice, for the targets that write plans by them (written.rs).
    for k in $(seq 40); do
      [ -e "$corpus/dice$k" ] || { printf '\200'; head -c $((k * 12)) /dev/urandom; } > "$corpus/dice$k"
    done
    ;;
  esac
  # Comparisons are not traced, and inputs are not made smaller: with them most of the time is the fuzzer's own. A second is judged by the
  # wall clock: on a busy machine it takes more.
  cargo fuzz run --fuzz-dir "$here" --target-dir "$top/target/fuzz/build" --sanitizer none --no-trace-compares "$target" "$corpus" -- \
    -max_total_time="$seconds" -timeout="${GLIMLOOM_HANG:-1}" -rss_limit_mb=512 -max_len="$longest" $words \
    -entropic=0 -reduce_inputs=0 -len_control=20 -artifact_prefix="$found/" -print_final_stats=1
done
