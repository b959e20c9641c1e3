#!/bin/sh
# All checks in one place: style, types, the firmware's compile, the tests. $1: test | prove
set -eu
cd "$(dirname "$0")/.."
# The tests start some hundred processes: each would compile all it imports anew where byte code is not kept.
unset PYTHONDONTWRITEBYTECODE
export PYTHONPYCACHEPREFIX="$PWD/build/pycache"
case "$1" in
  test) tests="python -m pytest -q -n 4 --dist loadfile --no-loadscope-reorder -p tests.dealing" ;;
  prove) tests="python -m tests.prove" ;;
  *) echo "run.sh: '$1' is not a tier; test or prove would be right"; exit 2 ;;
esac
echo "== style"
ruff check host tests
ruff format --check --quiet host tests
(cd firmware && ruff check . && ruff format --check --quiet .)
# Types and compile take one processor for half a minute: beside the tests, and told after them.
mkdir -p build
(sh tests/types.sh && sh tests/compile.sh) >build/types.log 2>&1 &
beside=$!
trap 'kill "$beside" 2>/dev/null || true' EXIT
code=0
echo "== tests (types and the firmware's compile run beside them)"
if [ "$1" = test ]; then $tests -m "not prove" || code=$?; else $tests || code=$?; fi
if wait "$beside"; then tail -n 1 build/types.log; else code=1; cat build/types.log; fi
echo "== processor time of this shell, and of all that it started (user, system)"
times
exit "$code"
