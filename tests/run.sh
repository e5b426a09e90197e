#!/usr/bin/env bash
# Installs what the tests need and runs them all: format, lints, docs, tests, levels of processors. Debian; Rust is there.
set -euo pipefail
cd "$(dirname "$0")/.."
bash tests/support/setup.sh
cargo fmt --check
cargo clippy --locked --all-targets -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --locked --no-deps --quiet
cargo test --locked --no-fail-fast
bash tests/cpu_levels.sh
