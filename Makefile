# The only entry point: the same commands here and in CI. `make help` lists them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
# An open daily record of one station, for tests of the forecast; only its data file is read.
WEATHER_DATA := aquacrop==3.1.0
# Each file of tests stays on one worker, so that what it makes for itself is made once.
ON_ALL_CORES := -n auto --maxprocesses 4 --dist loadfile

.PHONY: help manual plain season test slow quick check serve lint types schema addresses lock bench quality guides notices wheel coverage clean

help: ## list the commands
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

$(READY): pyproject.toml requirements.lock setup.py
	@$(PYTHON) -c 'import sys; assert sys.version_info >= (3, 11), "Python 3.11 or newer is needed"'
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps -e .
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps $(WEATHER_DATA)
	@touch $(READY)

manual: $(READY) ## set up and build the demo manual into site/
	@NO_MKDOCS_2_WARNING=1 $(BIN)/earleaf build --manual demo_scenario/manual.yml --out site

plain: $(READY) ## the demo manual in the plain shell, into site-plain/
	@$(BIN)/earleaf build --plain --manual demo_scenario/manual.yml --out site-plain

season: $(READY) ## the demo team's own plantings into private/, as on a day of the invented season
	@$(BIN)/earleaf season --manual demo_scenario/manual.yml --plantings demo_scenario/plantings.csv \
	  --seen demo_scenario/seen.csv --today 2027-06-14 --out private

test: $(READY) ## set up and run every test but the slow ones, on two cores or more
	$(BIN)/python -m pytest -m "not slow" $(ON_ALL_CORES)

slow: $(READY) ## the long tests: every page kind in every language, the HTML checker, all frames
	$(BIN)/python -m pytest -m slow

quick: $(READY) ## within a minute: single modules, faulty data, published tables; fewer random cases
	$(BIN)/python -m pytest -m "not browser and not slow and not whole" --hypothesis-profile=quick $(ON_ALL_CORES) \
	  tests/unit tests/data tests/published

wheel: $(READY) ## wheel and source archive into dist/, the same bytes for the same commit
	SOURCE_DATE_EPOCH=$$(git log -1 --format=%ct) $(BIN)/python -m build --no-isolation --outdir dist

coverage: $(READY) ## branches of agronomy, database and planning that the tests reach; fails below 95 % in any
	$(BIN)/python tests/habits/coverage_of_rooms.py

check: $(READY) ## every rule over the database and the demo manual, and how hard its pages are to read
	@$(BIN)/earleaf check --language --manual demo_scenario/manual.yml

serve: $(READY) ## preview of the demo manual, without cards; reloads when a file changes
	@$(BIN)/earleaf serve --manual demo_scenario/manual.yml

lint: $(READY) ## format and style
	$(BIN)/ruff format --check generator tests benchmarks
	$(BIN)/ruff check generator tests benchmarks

types: $(READY) ## static types
	$(BIN)/mypy

schema: $(READY) ## renew protocols/schema/, the editor hints made from the model
	@$(BIN)/python -m earleaf.rendering.schema protocols/schema

guides: $(READY) ## renew docs/guides/keys.md, the list of all keys, from the model
	@$(BIN)/python tests/habits/keys_page.py

notices: $(READY) ## renew THIRD-PARTY.md, the list of licences, from what is installed
	@$(BIN)/python tests/habits/third_party.py

addresses: plain ## add new addresses of the demo manual to the list of those that must stay for ever
	@$(BIN)/python -m earleaf.site.addresses site-plain demo_scenario/published-addresses.txt larkmoor pebblecross quillwater

lock: $(READY) ## renew requirements.lock from pyproject.toml
	$(BIN)/python -m pip install --quiet uv
	{ echo "# Exact versions, each with the hashes of its files, for identical builds. Renew: make lock"; \
	  $(BIN)/uv pip compile -q pyproject.toml --extra test --extra dev --no-header --no-annotate --no-emit-index-url \
	    --generate-hashes; } > requirements.lock.new
	mv requirements.lock.new requirements.lock

bench: $(READY) ## ratios against other builders, side by side (installs them for the run)
	$(BIN)/python benchmarks/build.py
	$(BIN)/python benchmarks/cards.py
	$(BIN)/python benchmarks/forecast.py

quality: $(READY) ## renew docs/quality.md from the figures of the long runs
	$(BIN)/python benchmarks/quality.py

clean: ## remove what the other commands made, but for private/
	rm -rf $(VENV) site site-plain build dist
