# drumwright: two commands matter. `make run` does the main job; `make test` runs every test this machine can.
PYTHON ?= $(shell command -v python3.11 || command -v python3)
CASE ?= cases/demo.toml
VENV := .venv
BIN := $(VENV)/bin
export PIP_DISABLE_PIP_VERSION_CHECK = 1

.PHONY: run test check check-long docs docs-check pictures lock clean bench lint types imports

$(VENV)/run.stamp: requirements/run.lock pyproject.toml
	@test -n "$(PYTHON)" && $(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "Python 3.11 or newer is needed: install it, or call make PYTHON=/path/to/python"; exit 1; }
	@test -x $(BIN)/python || { echo "setting up $(VENV), once"; $(PYTHON) -m venv $(VENV); }
	@$(BIN)/pip install -q --require-hashes -r requirements/run.lock
	@$(BIN)/pip install -q --no-deps -e .
	@touch $@

$(VENV)/test.stamp: $(VENV)/run.stamp requirements/test.lock
	@$(BIN)/pip install -q --require-hashes -r requirements/test.lock
	@touch $@

# The answer screen, the proposal, the calculation note and the result of one case.
run: $(VENV)/run.stamp
	@$(BIN)/python -m drumwright run-case $(CASE)

# Every test; a line for each group left out. STRICT=1 makes a left-out group a failure.
test: $(VENV)/test.stamp
	@$(BIN)/python tools/run_tests.py

lint: $(VENV)/test.stamp
	@$(BIN)/ruff check -q . && $(BIN)/ruff format -q --check .

types: $(VENV)/test.stamp
	@$(BIN)/mypy

imports: $(VENV)/test.stamp
	@$(BIN)/lint-imports --no-cache --no-logo >$(VENV)/imports.txt 2>&1 || { cat $(VENV)/imports.txt; exit 1; }

# The generated pages: field reference, figures, map of the house, validation.
docs: $(VENV)/test.stamp
	@$(BIN)/python tools/make_field_reference.py
	@$(BIN)/python tools/make_validation.py
	@$(BIN)/python tools/make_docs.py

# The pictures of the README; needs pdftoppm.
pictures: $(VENV)/run.stamp
	@$(BIN)/python tools/make_pictures.py

docs-check: $(VENV)/test.stamp
	@$(BIN)/python tools/make_field_reference.py --check
	@$(BIN)/python tools/make_docs.py --check
	@$(BIN)/python tools/make_validation.py --check

# One command checks everything. The tests come last, so that their closing line is the last one.
check: lint types imports docs-check test

# The same, but property tests draw ten times their examples (at most 2,000), new ones each time: some minutes.
check-long: lint types imports docs-check
	@$(BIN)/python tools/run_tests.py --long

# What a user waits for, beside a bare Python start in the same run.
bench: $(VENV)/test.stamp
	@$(BIN)/python benchmarks/run.py
	@$(BIN)/python benchmarks/transient.py
	@$(BIN)/python benchmarks/questions.py
	@$(BIN)/python benchmarks/shortlist.py

# Needs uv, see the top of tools/lock.py.
lock: $(VENV)/run.stamp
	@$(BIN)/python tools/lock.py

clean:
	rm -rf $(VENV) out
