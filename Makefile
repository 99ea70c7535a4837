# Two commands matter: `make run` (the bot with its simulator) and `make test`.
PYTHON ?= python3
VENV := .venv
PY := $(VENV)/bin/python
PORT ?= 8025

.PHONY: run test lint bench plots lock catalogs messages clean

run: $(VENV)/.run
	$(PY) -m simulator --port $(PORT)

test: $(VENV)/.dev
	$(PY) -m pytest -n auto

lint: $(VENV)/.dev
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/mypy
	$(PY) -m bot proofread

bench: $(VENV)/.dev
	$(PY) -m tests.bench

plots: $(VENV)/.dev
	$(PY) -m bot plots

# Write the lock files anew from pyproject.toml.
lock: $(VENV)/.dev
	$(VENV)/bin/pip-compile -q --generate-hashes --strip-extras --allow-unsafe --no-emit-index-url --no-emit-find-links --no-header -o requirements.lock pyproject.toml
	$(VENV)/bin/pip-compile -q --generate-hashes --strip-extras --allow-unsafe --no-emit-index-url --no-emit-find-links --no-header --extra dev -o requirements-dev.lock pyproject.toml

# Take the message texts out of dialogues/ and bring every catalog up to date.
messages: $(VENV)/.dev
	$(PY) -m bot catalogs

clean:
	rm -rf $(VENV)

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Warmheap needs Python 3.11 or newer; this is $$($(PYTHON) --version). Try: make $(MAKECMDGOALS) PYTHON=python3.12"; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.run: requirements.lock | $(VENV)/bin/python
	$(PY) -m pip install -q --disable-pip-version-check --require-hashes -r requirements.lock
	@touch $@

$(VENV)/.dev: requirements-dev.lock | $(VENV)/bin/python
	$(PY) -m pip install -q --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@touch $@ $(VENV)/.run
