#!/bin/sh
# All checks in one place: style, types, the firmware's compile, then the tests. $1: test | prove
set -eu
cd "$(dirname "$0")/.."
# The tests start some hundred processes: each would compile all it imports anew where byte code is not kept.
unset PYTHONDONTWRITEBYTECODE
export PYTHONPYCACHEPREFIX="$PWD/build/pycache"
echo "== style"
ruff check host tests
ruff format --check --quiet host tests
(cd firmware && ruff check . && ruff format --check --quiet .)
echo "== types"
sh tests/types.sh
echo "== firmware compile"
sh tests/compile.sh
echo "== tests"
case "$1" in
  test) exec python -m pytest -q -n 4 --dist loadfile --no-loadscope-reorder -p tests.dealing -m "not prove" ;;
  prove) exec python -m tests.prove ;;
  *) echo "run.sh: '$1' is not a tier; test or prove would be right"; exit 2 ;;
esac
