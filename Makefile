# drumwright: two commands matter. `make run` does the main job; `make test` runs every test this machine can.
PYTHON ?= $(shell command -v python3.11 || command -v python3)
CASE ?= cases/demo.toml
VENV := .venv
BIN := $(VENV)/bin
export PIP_DISABLE_PIP_VERSION_CHECK = 1

.PHONY: run test check check-long docs lock clean bench lint types imports

$(VENV)/run.stamp: requirements/run.lock pyproject.toml
	@test -n "$(PYTHON)" || { echo "python3.11 or newer is needed: install it, or call make PYTHON=/path/to/python"; exit 1; }
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@$(BIN)/pip install -q --require-hashes -r requirements/run.lock
	@$(BIN)/pip install -q --no-deps -e .
	@touch $@

$(VENV)/test.stamp: $(VENV)/run.stamp requirements/test.lock
	@$(BIN)/pip install -q --require-hashes -r requirements/test.lock
	@touch $@

run: $(VENV)/run.stamp
	@$(BIN)/python -m drumwright run-case $(CASE)

test: $(VENV)/test.stamp
	@$(BIN)/python tools/run_tests.py

lint: $(VENV)/test.stamp
	@$(BIN)/ruff check . && $(BIN)/ruff format --check .

types: $(VENV)/test.stamp
	@$(BIN)/mypy

imports: $(VENV)/test.stamp
	@$(BIN)/lint-imports --no-cache

docs: $(VENV)/test.stamp
	@$(BIN)/python tools/make_docs.py

check: lint types imports test

bench: $(VENV)/test.stamp
	@$(BIN)/python benchmarks/run.py

lock: $(VENV)/run.stamp
	@$(BIN)/python tools/lock.py

clean:
	rm -rf $(VENV) out
