#!/usr/bin/env bash
# Fetches the permissively licensed third-party drawings that the art tests read, into the folder
# given. They are never committed. Needs npm.
#   @iconify-json/fluent-emoji-flat 1.2.6  MIT         arcs, fill rules, clip paths, filters
#   @iconify-json/noto 1.2.9               Apache-2.0  gradients, use, clip paths, strokes, symbols
set -euo pipefail
to=$1
mkdir -p "$to"
for package in fluent-emoji-flat@1.2.6 noto@1.2.9; do
    name=${package%@*}
    [ -s "$to/$name.json" ] && continue
    work=$(mktemp -d "$to/fetch.XXXXXX")
    (cd "$work" && npm pack --silent "@iconify-json/$package" >/dev/null && tar -xzf ./*.tgz package/icons.json)
    mv "$work/package/icons.json" "$to/$name.json"
    rm -rf "$work"
done
