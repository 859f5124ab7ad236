# Every target sets itself up: `make help` lists them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
SIM := build/sim/.ready
NPM := build/npm/node_modules/fflate

.PHONY: help sim web release test test-chip chip-table types bench soak fuzz mutants check format boards fonts screens screens-record pictures clean

help: ## list the targets
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*##/\t/' | expand -t 16

# The simulator alone needs one package and its like, some 13 MB, and no virtual environment, which takes longer than they.
$(SIM): sim/requirements.txt
	@rm -rf $(@D)
	$(PYTHON) -m pip install -q --disable-pip-version-check --no-compile --target $(@D) -r $<
	@touch $@

$(READY): pyproject.toml sim/requirements.txt host/requirements.txt
	@test -d $(VENV) || $(PYTHON) -m venv $(VENV)
	$(BIN)/pip install -q --disable-pip-version-check -e '.[dev]'
	@touch $@

# The 32-bit VM, the source of the fonts, .zip files in the browser: without npm their tests skip and say so.
$(NPM):
	@if command -v npm >/dev/null; then mkdir -p build/npm && npm install --silent --prefix build/npm \
		'@micropython/micropython-webassembly-pyscript@^1.26' 'dejavu-fonts-ttf@^2.37' 'fflate@^0.8'; else echo "npm is missing: tests of the 32-bit VM, the fonts and the page without a server will skip"; fi

sim: $(if $(wildcard $(READY)),,$(SIM)) ## set up what the simulator needs and open it
	$(if $(wildcard $(READY)),$(BIN)/python,PYTHONPATH=$(<D) $(PYTHON)) -m sim

web: $(READY) $(NPM) ## the simulator, and the page that puts it on a board, as files for any web server: build/web
	$(BIN)/python -m host.web build/web

release: $(READY) $(NPM) ## wheel, firmware of each board, page and building pages with checksums: dist/
	$(BIN)/python -m host.release

# Type stubs of the chips' modules; the first run fetches them.
types: $(READY) ## check every call of machine, rp2 and esp32 by MicroPython's type stubs
	$(BIN)/python -m tests.wire.stubs

test-chip: $(READY) ## the shipped firmware on an emulated RP2040 (UF2=path of a MicroPython image; LONG=1: all)
	$(BIN)/python -m tests.chip $(UF2)

chip-table: $(READY) ## as test-chip, all of it, and write docs/CHIP.md (check: tests/chip/test_table.py)
	LONG=1 $(BIN)/python -m tests.chip $(UF2) --write docs/CHIP.md

test: $(READY) $(NPM) check types ## set everything up, check style, run all tests
	$(BIN)/python -m pytest -n 2

bench: $(READY) $(NPM) ## print all figures (one: python -m tests.bench NAME)
	$(BIN)/python -m tests.bench

soak: $(READY) $(NPM) ## days of random use, faults and cuts (SOAK=1000000: so many gestures; SEED=7)
	$(BIN)/python -m tests.bench soak

fuzz: $(READY) ## strangers' bytes for all that parses (by coverage after pip install -e '.[fuzz]')
	$(BIN)/python -m tests.fuzz

mutants: $(READY) $(NPM) ## change the program in 300 places, one at a time: do the tests notice? (hours; goes on where it was stopped)
	$(BIN)/pip install -q --disable-pip-version-check -e '.[mutants]'
	$(BIN)/python -m tests.mutants 300

check: $(READY) ## style and lint; generated pages up to date
	$(BIN)/ruff check .
	$(BIN)/python -m boards check
	$(BIN)/python -m boards.case check
	$(BIN)/python -m boards.carrier check

format: $(READY) ## mend what the linter can (check is its twin)
	$(BIN)/ruff check --fix .

# The carrier takes minutes, and KiCad 6, gerbv and chromium, which the others do without.
boards: $(READY) ## make building pages, case and carrier from boards/ (check is its twin)
	$(BIN)/python -m boards
	$(BIN)/python -m boards.case
	$(BIN)/python -m boards.carrier

fonts: $(READY) $(NPM) ## pack the screens' fonts anew (check: tests/panels/test_fonts.py)
	$(BIN)/python -m host.fonts

screens: $(READY) ## draw all golden screens: a page with old, new and difference
	@rm -rf build/screens
	SCREENS=page $(BIN)/python -m pytest -q tests/screens
	$(BIN)/python -m tests.screens

screens-record: $(READY) ## take the new screens over, after a look at them (check: tests/screens)
	SCREENS=record $(BIN)/python -m pytest -q tests/screens

pictures: $(READY) ## make the README's pictures in docs/ (needs chromium); look at them
	$(BIN)/python -m tests.page.pictures
	$(BIN)/python -m tests.page.tour

clean: ## remove what was built
	rm -rf build .venv
