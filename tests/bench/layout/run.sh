#!/usr/bin/env bash
# Which functions every sitting uses: writes them into src/layout/often.txt, from which src/layout/build.rs puts them next to each other in the
# program. With --check it only says how many of them the release build has, and fails where more than a tenth are gone, as after another
# version of the program or of what it is built from: then write it anew, and after another compiler (of which --check says nothing). Usage: run.sh [--check]. Needs nm; without --check, valgrind, and minutes.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
top=$(cd "$here/../../.." && pwd)
[ -x "$top/target/release/glimloom" ] || (cd "$top" && cargo build --release --locked)
exec python3 "$here/layout.py" "$@"
