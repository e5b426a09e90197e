#!/usr/bin/env bash
# Builds for every x86-64 feature level that this machine can run and draws the demo cast with each:
# the pictures must be the same bytes. Not part of the usual run: it takes a build for each level.
set -euo pipefail
cd "$(dirname "$0")/.."
sums=()
for level in x86-64 x86-64-v2 x86-64-v3 x86-64-v4; do
    case $level in
        x86-64-v2) grep -qw sse4_2 /proc/cpuinfo || continue ;;
        x86-64-v3) grep -qw avx2 /proc/cpuinfo || continue ;;
        x86-64-v4) grep -qw avx512f /proc/cpuinfo || continue ;;
    esac
    target=target/cpu/$level
    RUSTFLAGS="-C target-cpu=$level" cargo build --locked --release --quiet --target-dir "$target"
    out=$(mktemp -d)
    "$target/release/layfig" render rigs/cast.toml --view all --out "$out" --scale 0.6 --quiet
    sum=$(cd "$out" && find . -name '*.png' | LC_ALL=C sort | xargs sha256sum | sha256sum | cut -c1-16)
    count=$(find "$out" -name '*.png' | wc -l)
    rm -rf "$out"
    echo "$level: $count pictures, $sum"
    sums+=("$sum")
done
[ "$(printf '%s\n' "${sums[@]}" | sort -u | wc -l)" = 1 ] || { echo "the levels differ"; exit 1; }
echo "${#sums[@]} passed, 0 failed"
