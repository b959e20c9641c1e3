#!/bin/sh
# mpy-cross over all of firmware/ as it stands into build/: it compiles, and no module is too large to load.
# What a board carries is built and bounded by emberdraft.deploy.build and tests/deploy/test_shrink.py.
set -eu
cd "$(dirname "$0")/.."
MODULE_MOST=12000
rm -rf build/firmware
find firmware -name '*.py' -not -path 'firmware/typings/*' | LC_ALL=C sort | while read -r source; do
  target="build/${source%.py}.mpy"
  mkdir -p "$(dirname "$target")"
  mpy-cross -O2 -s "${source#firmware/}" -o "$target" "$source"
done
find build/firmware -name '*.mpy' | LC_ALL=C sort | xargs wc -c | awk -v module="$MODULE_MOST" '
  $2 == "total" { next }
  { sum += $1; if ($1 > module) { big = big "\n  " $2 ": " $1 } printf "%6d %s\n", $1, $2 }
  END {
    printf "%6d all modules, for every board and converter (a module at most %d)\n", sum, module
    if (big != "") { print "too large:" big; exit 1 }
  }'
