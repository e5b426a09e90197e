#!/bin/bash
# stop.sh DIR: ends what start.sh started, by the process ids that it noted.
dir=${1:?folder}
for file in "$dir"/run/slurmd-n*.pid "$dir"/run/slurmctld.pid "$dir"/munge/munged.pid; do
    [ -s "$file" ] || continue
    pid=$(cat "$file")
    kill "$pid" 2>/dev/null || continue
    for _ in $(seq 1 50); do kill -0 "$pid" 2>/dev/null || break; sleep 0.1; done
    kill -0 "$pid" 2>/dev/null && kill -9 "$pid"
done
true
