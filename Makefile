# steadyhead: `make` lists what there is.
PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin

.PHONY: help demo test fmt lint type speed docs clean browser
help: ## list the targets
	@grep -E '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/'

$(BIN)/uv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "steadyhead needs Python 3.11 or newer: make PYTHON=python3.11 ..."; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv

$(VENV)/.core: $(BIN)/uv pyproject.toml constraints.txt
	$(BIN)/uv pip install --quiet --compile-bytecode --python $(BIN)/python -c constraints.txt -e .
	$(BIN)/python -m compileall -q src
	@touch $@

$(VENV)/.dev: $(BIN)/uv pyproject.toml constraints.txt
	$(BIN)/uv pip install --quiet --compile-bytecode --python $(BIN)/python -c constraints.txt -e '.[dev]'
	$(BIN)/python -m compileall -q src
	@touch $@ $(VENV)/.core

demo: $(VENV)/.core ## the whole job on the invented machine and log; writes the sheet
	$(BIN)/steadyhead demo

browser: ## bring Chromium and the PDF viewer tools from Debian's packages where that is possible
	@sh scripts/bring_browser.sh

test: $(VENV)/.dev browser lint type ## every check; ends with the test runner's summary line
	NUMBA_DISABLE_JIT=1 $(BIN)/python -m pytest -q -n 2 -p no:cacheprovider tests/unit/physics
	$(BIN)/python -m pytest -q -n 2 --dist loadfile --cov --cov-report=term:skip-covered

fmt: $(VENV)/.dev ## format the code
	$(BIN)/ruff check --fix --quiet .
	$(BIN)/ruff format --quiet .

lint: $(VENV)/.dev ## style, import order
	$(BIN)/ruff check --quiet .
	$(BIN)/ruff format --quiet --check .
	$(BIN)/lint-imports --no-logo

type: $(VENV)/.dev ## types, strict
	$(BIN)/mypy --no-error-summary

speed: $(VENV)/.dev ## timings, as ratios against peers; run by hand
	@for script in speed/*.py; do echo "== $$script"; $(BIN)/python $$script || exit 1; done

docs: $(VENV)/.dev ## write the pages that are made from the code
	$(BIN)/python scripts/make_docs.py

clean: ## remove what was made
	rm -rf $(VENV) build dist src/*.egg-info steadyhead-demo .mypy_cache .ruff_cache .pytest_cache .coverage
