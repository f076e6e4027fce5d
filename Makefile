# make packet   both demo packets, from nothing
# make test     the whole test suite
# make lint types bench sweep clean
#
# Everything goes into .venv; another Python: make packet PYTHON=python3.12

PYTHON  ?= python3
SITES   := fernhill annex
PACKETS := $(SITES:%=output/%/packet.pdf)
PROGRAM := $(shell find wiregen schemas -type f -not -path '*/__pycache__/*')
SHARED  := $(wildcard door_specs/devices/*.yaml door_specs/kits/*.yaml)
IN      := .venv/bin/python
PIP     := $(IN) -m pip install --quiet --disable-pip-version-check --constraint constraints.txt

# Many images switch this on; then every process of the tests would compile the program anew.
export PYTHONDONTWRITEBYTECODE =

.PHONY: packet test sweep lint types bench clean
.DELETE_ON_ERROR:

packet: $(PACKETS)

# A stop (status 1) still leaves a packet, but not one to be committed as current.
.SECONDEXPANSION:
output/%/packet.pdf: .venv/installed $(PROGRAM) $(SHARED) $$(shell find door_specs/$$* -type f)
	$(IN) -m wiregen packet door_specs/$* --output output/$* > .venv/findings-$*.txt \
	  || { status=$$?; cat .venv/findings-$*.txt; exit $$status; }
	@tail -n 1 .venv/findings-$*.txt

test: packet .venv/installed-dev
	$(IN) -m pytest -n 2 --dist worksteal -m "not sweep"

sweep: .venv/installed-dev
	$(IN) -m pytest -n 2 --dist worksteal -m sweep

lint: .venv/installed-dev
	$(IN) -m ruff check .

types: .venv/installed-dev
	$(IN) -m mypy

bench: .venv/installed-dev
	$(IN) -m bench

clean:
	rm -rf .venv .pytest_cache .mypy_cache .ruff_cache .hypothesis dist
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

.venv/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "wiregen needs Python 3.11 or newer, and $(PYTHON) is $$($(PYTHON) --version 2>&1): make packet PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -m venv .venv || { rm -rf .venv; echo "No virtual environment could be made (Debian: apt install python3-venv)"; exit 1; }

.venv/installed: .venv/bin/python pyproject.toml constraints.txt
	$(PIP) --editable .
	@touch $@

.venv/installed-dev: .venv/installed
	$(PIP) --editable '.[dev]'
	@touch $@
