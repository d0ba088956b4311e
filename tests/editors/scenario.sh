# The scenario that is the same for every editor, on an example and on each plan that PLANS names: to be sourced.
#   scenario COMMAND…   runs it where WORK/plans holds what scenario.py makes, and holds what is on the disk afterwards against it
scenario() {
  local tests plan
  tests=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
  # shellcheck disable=SC2086
  for plan in "$tests/../../docs/examples/mistakes.harness" "$tests/plans/weighbridge.harness" ${PLANS:-}; do
    echo "-- the scenario on $(basename "$plan")"
    rm -rf "$WORK/plans"
    python3 "$tests/scenario.py" before "$plan" "$WORK/plans"
    "$@"
    python3 "$tests/scenario.py" after "$WORK/plans"
  done
}
