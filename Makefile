# Stepwitness. `make demo` shows it, `make test` tests it; both work from nothing and again when repeated.
# ORIGIN, DATABASE_URL and STEPWITNESS_DATA are read from the environment (see README).
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
PY := .venv/bin/python
PYTEST := .venv/bin/pytest
MANAGE := $(PY) manage.py
WORKERS ?= 2
export PYTHONDONTWRITEBYTECODE ?= 1

.PHONY: help demo run prepare test check format lint types contracts migrations deploy-check \
        test-sqlite test-postgresql test-browser test-js bench clean

help: ## list the commands
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 20

.venv/ready: requirements.txt .ci/system
	@.ci/system python pango
	@test -x $(PY) || python3 -m venv .venv
	@echo "Installing packages into .venv …"
	@.venv/bin/pip install --quiet --disable-pip-version-check -r requirements.txt
	@touch $@

prepare: .venv/ready
	@.ci/system pango
	@$(MANAGE) migrate --verbosity 0
	@$(MANAGE) collectstatic --noinput --verbosity 0

demo: .venv/ready ## start with an invented college on http://127.0.0.1:8000 (FRESH=1 starts over)
	@if [ -n "$(FRESH)" ]; then $(MANAGE) forget_demo; fi
	@$(MAKE) --no-print-directory prepare
	@$(MANAGE) demo
	@exec $(MANAGE) serve

run: prepare ## start without demo data; makes the first administrator
	@$(MANAGE) first_administrator
	@exec $(MANAGE) serve

test: test-sqlite test-js ## tests on SQLite and in JavaScript

check: format lint types contracts migrations deploy-check test test-postgresql test-browser ## everything CI runs

format: .venv/ready ## formatting, checked only
	@.venv/bin/ruff format --check --quiet .

lint: .venv/ready
	@.venv/bin/ruff check --quiet .

types: .venv/ready
	@.venv/bin/mypy checkoffs calculators

contracts: .venv/ready
	@.venv/bin/lint-imports

migrations: .venv/ready
	@STEPWITNESS_DATA=.data/checks $(MANAGE) makemigrations --check --dry-run

deploy-check: .venv/ready
	@STEPWITNESS_DATA=.data/checks ORIGIN=https://lab.harrowmere.example $(MANAGE) check --deploy --fail-level WARNING

test-sqlite: .venv/ready
	@.ci/system pango poppler
	@$(PYTEST) -q -n $(WORKERS)

test-postgresql: .venv/ready
	@.ci/system postgresql pango poppler
	@.ci/with-postgresql $(PYTEST) -q -n $(WORKERS)

# The Nu HTML checker, as a jar inside a registry package; used by the browser tests.
VNU := 26.9.27
.cache/vnu-$(VNU): Makefile
	@.ci/system node java
	@npm install --silent --no-save --no-audit --no-fund --prefix .cache vnu-jar@$(VNU)
	@touch $@

test-browser: .venv/ready .cache/vnu-$(VNU)
	@.ci/system chromium java poppler
	@$(PYTEST) -q -m browser tests/browser

test-js: .venv/ready
	@.ci/system node
	@node --test tests/js/*.test.mjs

bench: .venv/ready ## timings, as ratios against a floor in the same run
	@$(PY) -m tests.bench

clean: ## remove caches; keeps .data and .venv
	@rm -rf .mypy_cache .ruff_cache .pytest_cache .import_linter_cache node_modules
	@find . -name __pycache__ -not -path './.venv/*' -prune -exec rm -rf {} +
