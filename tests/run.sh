#!/usr/bin/env bash
# Installs what the tests need and runs them all: format, lints, docs, tests, levels of processors. Debian; Rust is there.
set -euo pipefail
cd "$(dirname "$0")/.."
# What the tests need is fetched while Rust builds, which itself needs a C compiler to link with.
mkdir -p target
command -v cc >/dev/null || bash tests/support/setup.sh
bash tests/support/setup.sh >target/setup.log 2>&1 &
fetched=$!
cargo fmt --check
cargo clippy --locked --all-targets -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --locked --no-deps --quiet
cargo test --locked --no-run
wait "$fetched" || { cat target/setup.log; exit 1; }
cargo test --locked --no-fail-fast
bash tests/cpu_levels.sh
