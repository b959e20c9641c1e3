#!/bin/sh
# Types: the host strictly, the firmware against the boards' own stubs (as if it ran on each of them).
set -eu
cd "$(dirname "$0")/.."
STUBS=1.29.0.post1
STDLIB=1.29.0.post2

install_stubs() {  # $1: folder, $2: package
  stamp="firmware/typings/$1/.$2-$STUBS-$STDLIB"
  [ -e "$stamp" ] && return
  rm -rf "firmware/typings/$1"
  mkdir -p "firmware/typings/$1"
  if command -v uv >/dev/null; then
    uv pip install --quiet --target "firmware/typings/$1" "$2==$STUBS" "micropython-stdlib-stubs==$STDLIB"
  else
    python -m pip install --quiet --disable-pip-version-check --target "firmware/typings/$1" \
      "$2==$STUBS" "micropython-stdlib-stubs==$STDLIB"
  fi
  touch "$stamp"
}

check_firmware() {  # $1: folder of the stubs, $2: sys.platform of the board
  cat >"firmware/typings/$1.ini" <<EOF
[mypy]
custom_typeshed_dir = firmware/typings/$1
mypy_path = firmware/typings/$1:firmware
python_version = 3.11
platform = $2
check_untyped_defs = True
follow_imports_for_stubs = True
explicit_package_bases = True
# what mypy guesses about code without annotations; wrong names, calls and arguments stay errors
disable_error_code = var-annotated, assignment, operator, type-var, str-format
[mypy-emberboard.link.session]
# a starred argument is taken for one of any length
disable_error_code = call-arg
EOF
  mypy --config-file "firmware/typings/$1.ini" --cache-dir ".mypy_cache_$1" \
    firmware/boot.py firmware/main.py firmware/emberboard
}

install_stubs rp2 micropython-rp2-rpi-pico-w-stubs
install_stubs esp32 micropython-esp32-stubs
check_firmware rp2 rp2
check_firmware esp32 esp32
mypy
