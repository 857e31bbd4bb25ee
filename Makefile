# One door for every job. `make demo` and `make test` need only git, make and Python 3.12 or newer.
V := .venv/bin
# Compiled modules are kept, whatever this machine says: without them each process compiles a thousand anew (11 s).
export PYTHONDONTWRITEBYTECODE =
PY ?= $(shell for p in python3.13 python3.14 python3.12 python3 python; do \
	if $$p -c 'import sys; sys.exit(sys.version_info < (3, 12))' >/dev/null 2>&1; then echo $$p; break; fi; done)
PIP_FLAGS := --quiet --disable-pip-version-check --no-compile --require-hashes

.PHONY: demo setup run check fix test test-slow test-long test-postgres test-browser test-faults check-deps bench bench-public lock install clean python-found

demo: setup
	@$(V)/python manage.py demo_addresses
	@$(V)/python manage.py work & w=$$!; trap "kill $$w 2>/dev/null" EXIT INT TERM; \
	$(V)/python manage.py runserver --noreload 127.0.0.1:8000

setup: install
	@mkdir -p staticfiles
	@$(V)/python manage.py migrate --verbosity 0
	@$(V)/python manage.py load_demo --if-empty

install: .venv/.base

run: install
	@mkdir -p staticfiles
	@$(V)/python manage.py migrate --verbosity 0
	@$(V)/python manage.py collectstatic --noinput --verbosity 0
	@$(V)/python manage.py warm_planner
	@$(V)/python manage.py work & w=$$!; trap "kill $$w 2>/dev/null" EXIT INT TERM; \
	$(V)/gunicorn firewood_site.wsgi --worker-class gthread --workers 2 --threads 4 --bind 127.0.0.1:8000

check: .venv/.dev
	$(V)/ruff format --check .
	$(V)/ruff check .
	$(V)/lint-imports
	$(V)/mypy inventory orders routing firewood_site
	$(V)/djlint --lint --quiet firewood_site/templates
	$(V)/python manage.py check
	$(V)/python manage.py makemigrations --check --dry-run

fix: .venv/.dev
	$(V)/ruff check --fix .
	$(V)/ruff format .

# The planner's loops are compiled before, once for all processes, so that no test waits for it.
test: .venv/.dev
	$(V)/python manage.py warm_planner
	$(V)/python -m pytest -m "not slow" -n auto --maxprocesses 4 --dist worksteal

test-slow: .venv/.dev
	$(V)/python -m pytest -m "slow and not long and not browser and not postgres" -n auto --maxprocesses 2 --dist worksteal --durations=15

# Many minutes each: every plan of days of six orders, every form with every bad value, two hundred steps at random;
# every page on PostgreSQL.
test-long: .venv/.dev
	TEST_FORM_VALUES=20 $(V)/python -m pytest -m "long and not browser and not postgres" -n auto --maxprocesses 2 --dist worksteal
	DATABASE_URL=$${TEST_POSTGRES_URL:-postgresql://postgres@127.0.0.1:5432/test} \
	  $(V)/python -m pytest -m "not slow and not browser" -n auto --maxprocesses 2 --dist worksteal tests/pages

test-postgres: .venv/.dev
	DATABASE_URL=$${TEST_POSTGRES_URL:-postgresql://postgres@127.0.0.1:5432/test} \
	  $(V)/python -m pytest -m "(not slow or on_both) and not browser" -n auto --maxprocesses 2 --dist worksteal tests/inventory/services tests/inventory/selectors tests/orders/services \
	  tests/orders/selectors tests/routing/services tests/routing/selectors tests/pages/seller/test_every_correction.py \
	  tests/pages/seller/test_orders.py tests/pages/seller/test_customers.py tests/pages/seller/test_price_sheet.py \
	  tests/pages/seller/test_quote_for_a_text.py tests/flows tests/site tests/test_ground.py  # other pages ask these: make test-long
	DATABASE_URL=$${TEST_POSTGRES_URL:-postgresql://postgres@127.0.0.1:5432/test} \
	  $(V)/python -m pytest -m "slow and postgres" tests/slow

test-browser: .venv/.dev
	TEST_BROWSER=1 TEST_DATABASE_FILE=1 $(V)/python -m pytest -m browser -p no:randomly -n 2 --dist worksteal tests/browser

# What the app must outlive: lost databases and mail, full disks, strangers at the door, damaged files, kill -9.
# What needs nginx, PostgreSQL or buildah is left out with a sentence where they are not there.
test-faults: .venv/.dev
	$(V)/python -m pytest -n auto --maxprocesses 4 --dist worksteal tests/site tests/house/test_access.py \
	  tests/routing/roads/test_load_roads.py tests/slow/test_upgrade.py tests/orders/services/test_crowd.py \
	  tests/orders/services/test_asking.py tests/pages/customer/test_spoken_for.py
	$(V)/python -m tests.bench.kill
	$(V)/python -m tests.bench.slow_senders
	$(V)/python -m tests.bench.growth --prices 60
	$(V)/python -m tests.bench.several
	deploy/test_image

# What is newer than the locks, and what is known to be unsafe in them.
check-deps: .venv/.dev
	$(V)/pip check
	$(V)/pip list --outdated
	$(V)/pip install --quiet pip-audit
	$(V)/pip-audit --require-hashes --disable-pip -r deploy/requirements.txt

bench: .venv/.dev .venv/.bench
	$(V)/python manage.py warm_planner
	$(V)/python -m tests.bench --rivals
	$(V)/python -m tests.bench.site

bench-public: .venv/.dev
	$(V)/python manage.py warm_planner
	$(V)/python -m tests.bench --public --seconds 30

lock:
	UV_PYTHON_DOWNLOADS=never $(V)/uv pip compile pyproject.toml --generate-hashes --python-version 3.12 \
	  --no-emit-index-url --no-annotate --no-header -o requirements.txt
	UV_PYTHON_DOWNLOADS=never $(V)/uv pip compile pyproject.toml --group dev --extra postgres --extra pdf --extra fast \
	  --generate-hashes --python-version 3.12 --no-emit-index-url --no-annotate --no-header -o requirements-dev.txt
	UV_PYTHON_DOWNLOADS=never $(V)/uv pip compile pyproject.toml --extra postgres --extra pdf --extra fast \
	  --generate-hashes --python-version 3.12 --no-emit-index-url --no-annotate --no-header -o deploy/requirements.txt
	UV_PYTHON_DOWNLOADS=never $(V)/uv pip compile pyproject.toml --extra fast --extra bench \
	  --generate-hashes --python-version 3.12 --no-emit-index-url --no-annotate --no-header -o requirements-bench.txt

python-found:
	@test -n "$(PY)" || { echo "Python 3.12 or newer was not found. Install it (for instance python3.13 with its venv module), then run make again."; exit 1; }

.venv/.base: requirements.txt | python-found
	@test -x $(V)/python || $(PY) -m venv .venv
	@echo "Installing what the app needs (about half a gigabyte; once)..."
	@$(V)/pip install $(PIP_FLAGS) -r requirements.txt
	@touch $@

.venv/.dev: requirements-dev.txt .venv/.base
	@$(V)/pip install $(PIP_FLAGS) -r requirements-dev.txt
	@touch $@

.venv/.bench: requirements-bench.txt .venv/.base
	@$(V)/pip install $(PIP_FLAGS) -r requirements-bench.txt
	@touch $@

clean:
	rm -rf .venv data staticfiles
