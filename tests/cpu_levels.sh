#!/usr/bin/env bash
# Some of the demo cast on processors of several x86-64 levels: pictures, documents and sheets must be the same bytes.
# QEMU plays the processors, so that libraries that choose their code while they run (glibc's functions, for one)
# choose otherwise; it knows no level 4. Takes the program at target/debug, or another one: cpu_levels.sh PROGRAM.
# With `builds` it is built for every level that this machine has, which takes as many builds.
set -euo pipefail
cd "$(dirname "$0")/.."
[ "$(uname -m)" = x86_64 ] || { echo "tests/cpu_levels.sh: only for x86-64"; exit 0; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
sums=()
# Runs what the arguments say, followed by a command of layfig, and notes what came out.
draw() {
    local level=$1 out=$work/out
    shift
    "$@" render rigs/cast.toml --view all --pose rest,haul --out "$out/render" --scale 0.25 --quiet
    "$@" export rigs/ship_dog --pose rest --out "$out/export" --quiet
    "$@" sheet rigs/ship_dog --pose rest --format both --cell 96 --out "$out/sheet" --quiet
    local count sum
    count=$(find "$out" -type f | wc -l)
    sum=$(cd "$out" && find . -type f | LC_ALL=C sort | xargs -d '\n' sha256sum | sha256sum | cut -c1-16)
    rm -rf "$out"
    echo "$level: $count files, $sum"
    [ "$count" -ge 15 ] || { echo "too few"; exit 1; }
    sums+=("$sum")
}
if [ "${1:-}" = builds ]; then
    for level in x86-64 x86-64-v2 x86-64-v3 x86-64-v4; do
        case $level in
            x86-64-v2) grep -qw sse4_2 /proc/cpuinfo || continue ;;
            x86-64-v3) grep -qw avx2 /proc/cpuinfo || continue ;;
            x86-64-v4) grep -qw avx512f /proc/cpuinfo || continue ;;
        esac
        RUSTFLAGS="-C target-cpu=$level" cargo build --locked --release --quiet --target-dir "target/cpu/$level"
        draw "$level" "target/cpu/$level/release/layfig"
    done
else
    program=${1:-${CARGO_TARGET_DIR:-target}/debug/layfig}
    # One that used the platform's functions would be found out: they differ in last digits from level to level.
    python=$(python3 -c 'import sys; print(sys.executable)')
    sines() { qemu-x86_64 -cpu "$1" "$python" -c 'import math; print([math.sin(k * .0173) for k in range(9999)])'; }
    [ "$(sines qemu64)" != "$(sines max)" ] || { echo "the platform's sines are the same on all levels"; exit 1; }
    draw "this machine" "$program"
    for cpu in qemu64 Nehalem max; do
        draw "$cpu" qemu-x86_64 -cpu "$cpu" "$program"
    done
fi
[ "$(printf '%s\n' "${sums[@]}" | sort -u | wc -l)" = 1 ] || { echo "the levels differ"; exit 1; }
echo "${#sums[@]} passed, 0 failed"
