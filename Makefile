# `make` lists what can be asked for. The first `make run` or `make test` brings what is missing (.ci/setup says
# what and why); afterwards the files named as targets below stand for what is done and nothing is done twice.

SHELL := /bin/sh
PYTHON := .venv/bin/python
VENV := .venv/made
TO_RUN := .venv/to-run
TO_CHECK := .venv/to-check
TO_TEST := .venv/to-test
VENDOR := opsrisk/static/vendor/made
DATA := $(or $(OPSRISK_DATA),var)
DATABASE := $(DATA)/opsrisk.sqlite3
# What load_demo said, to be said again at each later start.
SIGN_INS := $(DATA)/demo-sign-ins.txt
UV := .venv/bin/uv
LOCK := --universal --python-version 3.11 --generate-hashes --no-header --quiet

.DEFAULT_GOAL := help
.PHONY: help run demo test check bench peers screenshots docs lock clean system

help: ## this list
	@awk -F ': .*## ' '/^[a-z]+:.*## / { printf "make %-12s %s\n", $$1, $$2 }' Makefile

run: $(TO_RUN) $(VENDOR) ## serve on this machine, with the demo on the first run
	@if [ -z "$$DATABASE_URL" ] && [ ! -e $(DATABASE) ]; then \
		$(MAKE) --no-print-directory demo || { rm -f $(DATABASE)*; exit 1; }; \
	else $(PYTHON) manage.py migrate --verbosity 0 || exit 1; cat $(SIGN_INS) 2>/dev/null || true; fi
	@port=$$(.ci/setup port) && echo "Serving on http://localhost:$$port/ (Ctrl-C stops it)" && \
	exec .venv/bin/gunicorn opsrisk.wsgi --bind 127.0.0.1:$$port --worker-class gthread --workers 1 --threads 8 --log-level warning

demo: $(TO_RUN) ## the invented county's people, places and past operations
	@$(PYTHON) manage.py migrate --verbosity 0
	@$(PYTHON) manage.py load_demo >$(SIGN_INS) && cat $(SIGN_INS)

# Side by side, for two cores: what a browser does, and everything else; each on both sets of engines. They share nothing
# but the machine. The browser's report is kept back until the other's is out.
test: system $(TO_TEST) $(VENDOR) ## the whole suite: embedded (SQLite, a thread), and what meets them on PostgreSQL, Redis and Celery
	@report=$$(mktemp); bad=0; \
	{ pages=0; \
	  $(PYTHON) -m pytest --backend=embedded -m browser || pages=1; \
	  $(PYTHON) -m pytest --backend=deployed -m browser || pages=1; \
	  exit $$pages; } >$$report 2>&1 & beside=$$!; \
	trap "kill $$beside" INT TERM; \
	$(PYTHON) -m pytest --backend=embedded -m "not browser" || bad=1; \
	$(PYTHON) -m pytest --backend=deployed -m "not browser" || bad=1; \
	wait $$beside || bad=1; \
	cat $$report; rm -f $$report; exit $$bad

check: $(TO_CHECK) ## lint, types, and the direction of imports
	@.venv/bin/ruff check .
	@.venv/bin/ruff format --check .
	@.venv/bin/mypy opsrisk
	@.venv/bin/lint-imports

bench: $(TO_RUN) ## how fast it is on this machine
	@$(PYTHON) manage.py bench

peers: $(TO_CHECK) ## decisions a second beside general rule engines on the same table
	@$(PYTHON) manage.py bench --peers

screenshots: system $(TO_TEST) $(VENDOR) ## pictures of where each journey ends, into var/screenshots
	@$(PYTHON) -m pytest -m browser --pictures=$(DATA)/screenshots

docs: $(TO_RUN) ## documents that are made from the program
	@$(PYTHON) manage.py list_sources >docs/sources.md
	@$(PYTHON) manage.py write_field_guide
	@$(PYTHON) manage.py write_schemas

lock: $(VENV) ## newest versions that fit into the lock files; run the tests afterwards
	$(UV) pip compile $(LOCK) --upgrade requirements.in -o requirements.lock
	$(UV) pip compile $(LOCK) --upgrade -c requirements.lock requirements-test.in -o requirements-test.lock
	$(UV) pip compile $(LOCK) --upgrade requirements-setup.in -o requirements-setup.lock
	.venv/bin/npm install --package-lock-only

clean: ## remove everything that make brought; the data in var/ stay
	rm -rf .venv node_modules opsrisk/static/vendor .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache

# First of all, so that who is not root is asked once for everything.
system:
	@.ci/setup system test

$(VENV): requirements-setup.lock
	@.ci/setup system run
	@.ci/setup venv
	@touch $@

$(TO_RUN): $(VENV) requirements.lock
	@.ci/setup python requirements.lock
	@touch $@

$(TO_CHECK): $(TO_RUN) requirements-test.lock
	@.ci/setup python requirements-test.lock
	@touch $@

$(TO_TEST): $(TO_CHECK) node_modules/axe-core/axe.min.js
	@touch $@

# npm dates the files it unpacks in the last century; touched, they count as newer than the lock.
node_modules/pyodide/pyodide.mjs: package-lock.json $(VENV)
	@.ci/setup browser run
	@touch $@

node_modules/axe-core/axe.min.js: package-lock.json $(VENV)
	@.ci/setup browser test
	@touch $@ node_modules/pyodide/pyodide.mjs

# Only what the browser asks for: Python for the tablet, and htmx for the desk.
$(VENDOR): node_modules/pyodide/pyodide.mjs $(TO_RUN)
	@rm -rf $(@D) && mkdir -p $(@D)/pyodide $(@D)/htmx
	@cd node_modules/pyodide && cp pyodide.mjs pyodide.asm.mjs pyodide.asm.wasm pyodide-lock.json python_stdlib.zip ../../$(@D)/pyodide/
	@cp node_modules/htmx.org/dist/htmx.min.js $(@D)/htmx/
	@$(PYTHON) -m whitenoise.compress --quiet $(@D)/pyodide
	@touch $@
