# make demo    a site with an invented coach and students, at http://127.0.0.1:8000
# make test    every test; a server that is not installed skips its tests with the reason
# make lint    style, types, templates, the law of imports
# make bench BENCH=stills
# make pictures  the pictures of README, from a demo of their own
.PHONY: demo serve test lint format bench pictures lock clean

PYTHON ?= $(shell command -v python3.11 || command -v python3)
BIN = .venv/bin

.venv/runs: requirements.txt
	test -d .venv || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv==0.13.9
	$(BIN)/uv pip install --quiet -r requirements.txt
	touch $@

.venv/tests: .venv/runs requirements-dev.txt
	$(BIN)/uv pip install --quiet -r requirements-dev.txt
	touch $@

PORT ?= 8000

demo: export CARRYOVER_URL = http://127.0.0.1:$(PORT)
demo: export CARRYOVER_DATA ?= var/demo
demo: .venv/runs
	@$(BIN)/python manage.py demo

serve: .venv/runs
	@$(BIN)/python manage.py serve

test: .venv/tests
	$(BIN)/python -m pytest -n auto --dist worksteal $(ARGS)

lint: .venv/tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/djlint --quiet --check --lint templates
	$(BIN)/mypy

format: .venv/tests
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .
	$(BIN)/djlint --quiet --reformat templates

bench: .venv/tests
	@$(BIN)/python -m tests.benchmarks.$(BENCH)

pictures: .venv/tests
	@$(BIN)/python -m tests.pictures

lock: .venv/runs
	$(BIN)/uv pip compile -q --upgrade --no-header --no-annotate --no-emit-index-url requirements.in -o requirements.txt
	$(BIN)/uv pip compile -q --upgrade --no-header --no-annotate --no-emit-index-url requirements-dev.in -o requirements-dev.txt

clean:
	rm -rf .venv
