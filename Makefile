# Each target makes its own virtual environment; nothing outside this folder is touched.
# On Windows and macOS the same steps are written out in README.md.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check -q

.PHONY: demo test pins clean

# The main job on an invented instrument: recording, survey, targets, plan, papers.
demo: $(VENV)/.run
	rm -rf reedwright-demo
	$(BIN)/reedwright demo reedwright-demo

# Everything that must hold: style, types, the direction of imports, every test.
test: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache
	$(BIN)/pytest -n auto -q

$(VENV)/.made:
	$(PYTHON) -m venv $(VENV)
	touch $@

$(VENV)/.run: $(VENV)/.made requirements/run.txt pyproject.toml
	$(PIP) install --require-hashes -r requirements/run.txt
	$(PIP) install --no-deps --no-build-isolation -e .
	touch $@

$(VENV)/.dev: $(VENV)/.made requirements/dev.txt pyproject.toml
	$(PIP) install --require-hashes -r requirements/dev.txt
	$(PIP) install --no-deps --no-build-isolation -e .
	touch $@ $(VENV)/.run

# Renew the pins (needs uv); the options keep registry hosts out of the files.
pins:
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-header \
	  --no-emit-index-url -o requirements/run.txt pyproject.toml requirements/run.in
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-header \
	  --no-emit-index-url --extra postgresql -o requirements/dev.txt \
	  pyproject.toml requirements/run.in requirements/dev.in

clean:
	rm -rf $(VENV) reedwright-demo
