#!/bin/sh
# mpy-cross over all of firmware/ into build/: sizes, and the bounds that a small board sets.
# A board carries the driver of one converter: the sum is with the largest choice, without the other two.
set -eu
cd "$(dirname "$0")/.."
TREE_MOST=92000
MODULE_MOST=12000
rm -rf build/firmware
find firmware -name '*.py' -not -path 'firmware/typings/*' | LC_ALL=C sort | while read -r source; do
  target="build/${source%.py}.mpy"
  mkdir -p "$(dirname "$target")"
  mpy-cross -O2 -s "${source#firmware/}" -o "$target" "$source"
done
find build/firmware -name '*.mpy' | LC_ALL=C sort | xargs wc -c | awk -v tree="$TREE_MOST" -v module="$MODULE_MOST" '
  $2 == "total" { next }
  { if ($2 !~ /(max31856|mcp9600)\.mpy$/) sum += $1; if ($1 > module) { big = big "\n  " $2 ": " $1 } printf "%6d %s\n", $1, $2 }
  END {
    printf "%6d the whole tree with one converter (at most %d; a module at most %d)\n", sum, tree, module
    if (big != "") { print "too large:" big; exit 1 }
    if (sum > tree) { print "too large: the whole tree"; exit 1 }
  }'
