#!/usr/bin/env bash
# Installs what the tests need beside Rust: Chromium (the second SVG renderer, and where the review page is
# tried), the driver for it, the judge of accessibility, a scheduler (Slurm), a job runner (Open Job
# Description), Shapely (the second geometry library) and the third-party drawings. Debian, as root or with
# sudo. Does nothing that is done already.
set -euo pipefail
cd "$(dirname "$0")/../.."
as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }
packages=()
[ -x /usr/bin/chromium ] || packages+=(chromium fonts-dejavu-core)
command -v npm >/dev/null || packages+=(nodejs npm)
command -v cc >/dev/null || packages+=(build-essential)
command -v pngcheck >/dev/null || packages+=(pngcheck)
command -v slurmctld >/dev/null || packages+=(slurmctld slurmd slurm-client munge)
python3 -c 'import venv, ensurepip' 2>/dev/null || packages+=(python3-venv)
if [ ${#packages[@]} -gt 0 ]; then
    as_root apt-get update -q
    as_root apt-get install -y -q --no-install-recommends "${packages[@]}"
fi
if [ ! -d target/tools/node_modules/playwright-core ] || [ ! -d target/tools/node_modules/axe-core ]; then
    mkdir -p target/tools
    [ -f target/tools/package.json ] || echo '{"private": true}' > target/tools/package.json
    npm install --silent --no-audit --no-fund --prefix target/tools playwright-core@1.55.0 axe-core@4.10.3
fi
if ! target/tools/venv/bin/python -c 'import shapely, openjd.cli' 2>/dev/null; then
    python3 -c 'import ensurepip' 2>/dev/null || as_root apt-get install -y -q --no-install-recommends python3-venv
    python3 -m venv target/tools/venv
    target/tools/venv/bin/pip install --quiet --only-binary=:all: shapely==2.1.2 openjd-cli==0.8.0
fi
bash tests/support/fetch_art.sh target/third-party
