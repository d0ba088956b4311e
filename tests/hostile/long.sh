#!/usr/bin/env bash
# The hostile clients, and the well-meaning ones of tests/wire, for so many seconds (an hour without a number) against the release build: round
# after round, each with other choices (GLIMLOOM_SEED), longer sittings and more changed messages than in `cargo test`.
#   tests/hostile/long.sh [SECONDS] [FIRST ROUND]
# GLIMLOOM_SERVER names another program. At the end: how many rounds, how many of them failed, and the most memory that any server held.
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
cd "$top"
end=$((SECONDS + ${1:-3600}))
round=${2:-1}
first=$round
failed=0
if [ -z "${GLIMLOOM_SERVER:-}" ]; then
  cargo build --locked --quiet --release
  GLIMLOOM_SERVER=$top/target/release/glimloom
fi
export GLIMLOOM_SERVER
export GLIMLOOM_SOAK=${GLIMLOOM_SOAK:-200000} GLIMLOOM_MESSAGES=${GLIMLOOM_MESSAGES:-100000}
export GLIMLOOM_EXTREMES=${GLIMLOOM_EXTREMES:-60000} GLIMLOOM_PATIENCE=${GLIMLOOM_PATIENCE:-600}
GLIMLOOM_HELD=$(mktemp)
export GLIMLOOM_HELD
trap 'rm -f "$GLIMLOOM_HELD"' EXIT
while [ $SECONDS -lt $end ]; do
  GLIMLOOM_SEED=$round cargo test --locked --quiet --test glimloom -- --nocapture hostile:: wire:: || failed=$((failed + 1))
  round=$((round + 1))
  most=$(sort -n "$GLIMLOOM_HELD" | tail -1)
  echo "$((round - first)) rounds in $SECONDS s, $failed of them failed, $(wc -l < "$GLIMLOOM_HELD") servers, $most kB held at most"
done
[ $failed = 0 ]
