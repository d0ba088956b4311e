#!/usr/bin/env bash
# Unpacks packages of another Debian release, and all that they need, into a folder, beside the system and without touching it:
#   unpack.sh SUITE DIR PROGRAM PACKAGE…
# Writes DIR/run, which starts PROGRAM (a path inside the folder) by the folder's own loader and libraries. What PROGRAM starts in
# turn is unaffected.
set -eu
suite=$1 program=$3
dir=$(realpath -m "$2")
shift 3
[ -x "$dir/run" ] && exit 0
for tool in apt-get dpkg; do
  command -v "$tool" >/dev/null || { echo "cannot install $*: $tool is missing (this wants Debian or a relative)" >&2; exit 1; }
done
apt=$dir/.apt
rm -rf "$dir"
mkdir -p "$apt/lists/partial" "$apt/cache/archives/partial" "$apt/parts"
: > "$apt/status"
mirror=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' | grep -m1 '/debian/$')
echo "deb $mirror $suite main" > "$apt/sources.list"
options=(-qq -o Dir::Etc::SourceList="$apt/sources.list" -o Dir::Etc::SourceParts="$apt/parts" -o Dir::State::Lists="$apt/lists"
  -o Dir::Cache="$apt/cache" -o Dir::State::status="$apt/status" -o Debug::NoLocking=1)
apt-get "${options[@]}" update
apt-get "${options[@]}" install -y --download-only --no-install-recommends "$@" >/dev/null ||
  { echo "cannot install $* of Debian $suite" >&2; exit 1; }
for package in "$apt"/cache/archives/*.deb; do dpkg -x "$package" "$dir"; done
rm -rf "$apt"
triplet=$(cd "$dir/usr/lib" && ls -d ./*-linux-gnu* | head -n 1)
triplet=${triplet#./}
# An older release has a part of them outside of /usr.
loader=$(ls "$dir"/{usr/lib64,usr/lib,lib64,lib}/ld-linux*.so* 2>/dev/null | head -n 1)
cat > "$dir/run" <<END
#!/bin/sh
exec "$loader" --library-path "$dir/usr/lib/$triplet:$dir/lib/$triplet" "$dir/$program" "\$@"
END
chmod +x "$dir/run"
