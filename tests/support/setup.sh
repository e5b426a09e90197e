#!/usr/bin/env bash
# Installs what the tests need beside Rust. Debian, as root or with sudo; on a new machine it takes minutes, on
# one that has everything a second. Every step tells what failed. Where things go, and what for:
#   the system       Chromium with a font (the second SVG renderer, and where the review page is tried), node and
#                    npm, a C compiler, pngcheck, poppler-utils and qpdf (they judge PNG and PDF), Slurm with
#                    munge (the scheduler that a night runs under), QEMU (plays other processors), Python's venv
#   target/tools     the driver of the browser and the judge of accessibility (npm); in its venv Shapely (the
#                    second geometry library), the job runner of Open Job Description, check-jsonschema,
#                    taplo and tombi (validators of JSON Schema, the last two those of editors) (pip)
#   target/third-party   drawings by others, never committed
set -euo pipefail
cd "$(dirname "$0")/../.."
step=start
trap '[ $? = 0 ] || echo "tests/support/setup.sh: failed at: $step" >&2' EXIT
as_root() {
    if [ "$(id -u)" = 0 ]; then "$@"
    elif command -v sudo >/dev/null; then sudo "$@"
    else echo "tests/support/setup.sh: run it as root, or install sudo" >&2; return 1; fi
}
install() {
    command -v apt-get >/dev/null || { echo "tests/support/setup.sh: no apt-get; install by hand: $*" >&2; return 1; }
    as_root apt-get update -q
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@"
}

packages=()
[ -x /usr/bin/chromium ] || packages+=(chromium fonts-dejavu-core)
command -v npm >/dev/null || packages+=(nodejs npm)
command -v cc >/dev/null || packages+=(build-essential)
command -v pngcheck >/dev/null || packages+=(pngcheck)
command -v pdftoppm >/dev/null || packages+=(poppler-utils)
command -v qpdf >/dev/null || packages+=(qpdf)
command -v qemu-x86_64 >/dev/null || packages+=(qemu-user)
for one in slurmctld slurmd munged; do command -v "$one" >/dev/null || packages+=("${one/munged/munge}"); done
command -v sbatch >/dev/null || packages+=(slurm-client)
python3 -c 'import venv, ensurepip' 2>/dev/null || packages+=(python3-venv)
if [ ${#packages[@]} -gt 0 ]; then
    step="packages of the system: ${packages[*]}"
    install "${packages[@]}"
fi

tools=target/tools
mkdir -p "$tools"
step="browser driver and judge of accessibility, by npm into $tools"
# What is half there does not load.
if ! (cd "$tools" && node -e 'require("playwright-core"); require("axe-core")') 2>/dev/null; then
    rm -rf "$tools/node_modules"
    [ -f "$tools/package.json" ] || echo '{"private": true}' > "$tools/package.json"
    npm install --silent --no-audit --no-fund --prefix "$tools" playwright-core@1.55.0 axe-core@4.10.3
fi
step="Shapely, the job runner and the validators of schemas, by pip into $tools/venv"
if ! "$tools/venv/bin/python" -c 'from shapely import box; import openjd.cli, check_jsonschema' 2>/dev/null \
    || ! "$tools/venv/bin/taplo" --version >/dev/null 2>&1 \
    || ! "$tools/venv/bin/tombi" --version >/dev/null 2>&1; then
    python3 -m venv --clear "$tools/venv"
    "$tools/venv/bin/pip" install --quiet --only-binary=:all: shapely==2.1.2 openjd-cli==0.8.0 \
        check-jsonschema==0.39.0 taplo==0.9.3 tombi==1.9.6
fi
step="drawings by others, by npm into target/third-party"
bash tests/support/fetch_art.sh target/third-party
