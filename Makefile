# The daily verbs. `make demo` and `make test` are all that a newcomer needs.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
STAMP  := $(VENV)/.installed
TEST_STAMP := $(VENV)/.installed-test
APT_PACKAGES := chromium libreoffice-writer-nogui poppler-utils fonts-liberation

.PHONY: demo serve test check format docs bench pictures wheel office-packages clean

demo: $(STAMP)  ## open the app on the demo case and print its address
	$(BIN)/underbody demo

serve: $(STAMP)  ## open the app on this shop's own cases
	$(BIN)/underbody serve

test: $(TEST_STAMP) office-packages  ## every test, the browser ones included
	$(BIN)/python -m pytest -n auto --dist loadfile -m "not bench"
	$(BIN)/python -m pytest tests/bench -m bench -s

check: $(TEST_STAMP)  ## lint, format, types, one-way imports
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

format: $(TEST_STAMP)
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

docs: $(STAMP)  ## write the generated reference pages and schemas anew
	$(BIN)/python -m triage_app.cli.docs

pictures: $(TEST_STAMP) office-packages  ## take the pictures of every page that stand in the docs
	$(BIN)/python -m tests.browser.take_pictures

bench: $(TEST_STAMP)  ## print speed and memory figures at full size
	UNDERBODY_BENCH=full $(BIN)/python -m pytest tests/bench -m bench -s

wheel: $(TEST_STAMP)
	rm -rf build  # or modules that are gone would still be packed
	$(BIN)/python -m build --wheel

# Installs the outside programs that tests drive, where they are missing and we may.
office-packages:
	@if ! command -v chromium >/dev/null || ! command -v soffice >/dev/null || ! command -v pdftoppm >/dev/null; then \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $(APT_PACKAGES); \
	  else \
	    echo "Some tests need: $(APT_PACKAGES)"; \
	  fi; \
	fi

$(VENV)/bin/python:
	$(PYTHON) -m venv $(VENV)

$(STAMP): pyproject.toml constraints.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .
	@touch $(STAMP)

$(TEST_STAMP): pyproject.toml constraints.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e ".[test]"
	@touch $(STAMP) $(TEST_STAMP)

clean:
	rm -rf $(VENV) build dist *.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis
