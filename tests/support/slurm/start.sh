#!/bin/bash
# start.sh DIR: a scheduler with two nodes, all it keeps in DIR. As root.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
dir=${1:?folder}
port=${2:-26917}
mkdir -p "$dir"/{munge,state,spool/n1,spool/n2,run,log}
chmod 755 "$dir" "$dir/munge"
(umask 077; dd if=/dev/urandom of="$dir/munge/munge.key" bs=128 count=1 status=none)
sed -e "s#@DIR@#$dir#g" -e "s#@HOST@#$(hostname -s)#g" -e "s#@PORT@#$port#" \
    -e "s#@PORT1@#$((port + 1))#" -e "s#@PORT2@#$((port + 2))#" "$here/slurm.conf.in" > "$dir/slurm.conf"
export SLURM_CONF="$dir/slurm.conf"
munged --force --key-file="$dir/munge/munge.key" --socket="$dir/munge/munge.sock" \
    --pid-file="$dir/munge/munged.pid" --log-file="$dir/munge/munged.log" --seed-file="$dir/munge/munged.seed"
slurmctld -f "$SLURM_CONF"
slurmd -f "$SLURM_CONF" -N n1
slurmd -f "$SLURM_CONF" -N n2
for _ in $(seq 1 100); do
    up=$(timeout 5 sinfo -h -N -o '%N %t' 2>/dev/null | grep -c ' idle$' || true)
    [ "$up" = 2 ] && exit 0
    sleep 0.2
done
tail -n 5 "$dir/log/slurmctld.log" >&2
exit 1
