#!/usr/bin/env bash
# Builds the library for wasm32-unknown-unknown, without threads, draws a member there, and
# tells how that differs from here; it fails where it cannot be built or does not draw. Debian: the standard library
# is built too, from its sources.
set -euo pipefail
cd "$(dirname "$0")/../.."
apt-get install -y --no-install-recommends rustc-web cargo-web rust-web-src lld nodejs > /dev/null

crate=target/wasm/crate
mkdir -p "$crate"
cp Cargo.lock "$crate/Cargo.lock"
cat > "$crate/Cargo.toml" <<'TOML'
[package]
name = "on_the_web"
version = "0.1.0"
edition = "2024"

[[bin]]
name = "on_the_web"
path = "../../../tests/wasm/draw.rs"

[dependencies]
layfig = { path = "../../..", default-features = false }

[profile.release]
opt-level = "s"
lto = true
panic = "abort"
strip = true

[workspace]
TOML
export CARGO_TARGET_DIR=$PWD/target/wasm
# What the program includes: nothing where it runs here, else what it wrote here.
echo None > "$crate/none.in"
LAYFIG_WANTED=$PWD/$crate/none.in cargo run --quiet --release --manifest-path "$crate/Cargo.toml" "$crate/here"
echo "Some(include_bytes!(\"$PWD/$crate/here\"))" > "$crate/here.in"
export LAYFIG_WANTED=$PWD/$crate/here.in

export RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1 CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=/usr/bin/wasm-ld
time /usr/bin/cargo build --quiet -Z build-std=std,panic_abort --release --target wasm32-unknown-unknown \
    --manifest-path "$crate/Cargo.toml"
wasm=target/wasm/wasm32-unknown-unknown/release/on_the_web.wasm
echo "$(stat -c %s "$wasm") bytes, $(gzip -9 < "$wasm" | wc -c) compressed"
node -e '
const bytes = require("fs").readFileSync(process.argv[1]);
WebAssembly.instantiate(bytes, {}).then(({ instance }) => {
    const start = process.hrtime.bigint();
    const worst = instance.exports.main(0, 0);
    const took = Number(process.hrtime.bigint() - start) / 1e6;
    const told = worst === 255 ? "other documents than here" : `the documents of here, colours within ${worst} of 255`;
    console.log(`it draws ${told}, in ${took.toFixed(0)} ms`);
}).catch((error) => { console.error(error); process.exit(1); });
' "$wasm"
