# Fruitbody. `make` alone lists what there is.
.DEFAULT_GOAL := help
.PHONY: help setup demo serve test lint types bench lock browser clean
SERVE ?= yes
PORT ?= 8000
PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.ready

help: ## list the targets
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:[^#]*## /\t/' | expand -t 10

setup: $(STAMP) ## create .venv with everything pinned in requirements-dev.txt

$(STAMP): requirements-dev.txt pyproject.toml
	@tools/setup "$(PYTHON)"
	@touch $@

demo: setup ## set up, run one submission through the whole desk, write out/*.pdf, then serve (SERVE=no stops after the PDF)
	@$(BIN)/fruitbody demo --out out --port $(PORT) $(if $(filter no,$(SERVE)),--no-serve,)

serve: setup ## serve the desk on 127.0.0.1 with the data there is
	@$(BIN)/fruitbody serve --port $(PORT)

test: setup browser lint types ## lint, strict types, import direction, all tests
	@$(BIN)/pytest

lint: setup ## style, and the direction of imports
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/lint-imports

types: setup ## strict types
	@$(BIN)/mypy

browser: ## Chromium and PostgreSQL for the tests, from the system's packages
	@tools/system-packages

bench: setup ## speed, as ratios against peers measured in the same run
	@$(BIN)/python -m bench

lock: setup ## pin the dependencies again, with hashes and without index addresses
	@$(BIN)/uv pip compile -q --universal --generate-hashes --no-emit-index-url --no-header --python-version 3.11 requirements.in -o requirements.txt
	@$(BIN)/uv pip compile -q --universal --generate-hashes --no-emit-index-url --no-header --python-version 3.11 requirements-dev.in -o requirements-dev.txt

clean: ## remove .venv, caches and the demo's data
	@rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .import_linter_cache out data
