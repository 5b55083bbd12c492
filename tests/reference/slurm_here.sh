#!/usr/bin/env bash
# Runs experiments/cluster on a Slurm of its own on this machine, and compares the merged result with one run.
#
#   apt-get install slurm-wlm munge
#   cargo build --release && tests/reference/slurm_here.sh target/release/agogic
#
# Needs root, for munge wants a user of its own. Everything listens on the loopback interface only and lies in a temporary
# folder; the daemons are stopped by their process numbers at the end.
set -euo pipefail
agogic=$(realpath "${1:?name the program}")
cluster=$(realpath "$(dirname "$0")/../../experiments/cluster")
for tool in slurmctld slurmd munged sbatch; do
  command -v "$tool" >/dev/null || { echo "$tool is missing: apt-get install slurm-wlm munge" >&2; exit 1; }
done
[ "$(id -u)" = 0 ] || { echo "this needs root" >&2; exit 1; }

here=$(mktemp -d /tmp/agogic-slurm.XXXXXX)
chmod 755 "$here"
pids=()
stop() {
  for ((i = ${#pids[@]} - 1; i >= 0; i--)); do kill "${pids[$i]}" 2>/dev/null || true; done
  wait 2>/dev/null || true
  rm -rf "$here"
}
trap stop EXIT

host=$(hostname -s)
mkdir -p "$here"/munge "$here"/spool "$here"/state "$here"/work
dd if=/dev/urandom of="$here/munge/key" bs=1024 count=1 status=none
chown -R munge: "$here/munge"
chmod 700 "$here/munge"
chmod 400 "$here/munge/key"
# The socket has to be reached by all.
mkdir -p "$here/socket"
chown munge: "$here/socket"
setpriv --reuid=munge --regid=munge --clear-groups munged --foreground --key-file="$here/munge/key" \
  --socket="$here/socket/munge" --pid-file="$here/munge/pid" --log-file="$here/munge/log" \
  --seed-file="$here/munge/seed" &
pids+=($!)

cat >"$here/slurm.conf" <<CONF
ClusterName=here
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmctldPort=16817
SlurmdPort=16818
AuthType=auth/munge
AuthInfo=socket=$here/socket/munge
CredType=cred/munge
CommunicationParameters=NoInAddrAny,NoCtldInAddrAny
StateSaveLocation=$here/state
SlurmdSpoolDir=$here/spool
SlurmctldPidFile=$here/ctld.pid
SlurmdPidFile=$here/slurmd.pid
SlurmctldLogFile=$here/ctld.log
SlurmdLogFile=$here/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
MpiDefault=none
SelectType=select/cons_tres
ReturnToService=2
SchedulerParameters=sched_interval=2
NodeName=$host NodeAddr=127.0.0.1 CPUs=$(nproc)
PartitionName=all Nodes=ALL Default=YES State=UP
CONF
export SLURM_CONF=$here/slurm.conf
sleep 1
slurmctld -D >"$here/ctld.out" 2>&1 &
pids+=($!)
sleep 2
slurmd -D >"$here/slurmd.out" 2>&1 &
pids+=($!)
for _ in $(seq 30); do
  sinfo -h -o %T 2>/dev/null | grep -q idle && break
  sleep 1
done
sinfo || { tail -5 "$here"/*.out "$here"/*.log; exit 1; }

cd "$here/work"
cat >study.toml <<SPEC
name = "cluster"
seed = 11
[text]
built_in = "tide-station"
[typists]
populations = ["volunteers", "slow"]
number = ${TYPISTS:-600}
keys_each = 8000
[floor]
typists = 20
[[policy]]
rule = "enclosed"
[[policy]]
rule = "evidence"
SPEC
mkdir shards
export AGOGIC=$agogic
"$agogic" run study.toml --out whole >/dev/null

job=$(sbatch --parsable --array=3-9:2 "$cluster/array.sh" study.toml shards)
last=$(sbatch --parsable --dependency=afterok:"$job" "$cluster/merge.sh" shards merged)
echo "array $job, merge $last"
# One task is thrown back into the queue while it runs; Slurm lets it wait for about two minutes then.
for _ in $(seq 300); do
  [ "$(squeue -h -j "${job}_5" -o %T 2>/dev/null)" = RUNNING ] && break
  sleep 0.2
done
sleep 0.5
scontrol requeue "${job}_5" && echo "task 5 was requeued"
for _ in $(seq 400); do
  [ -z "$(squeue -h)" ] && break
  sleep 1
done
squeue
cat shards/*.log
for file in whole/*; do
  name=$(basename "$file")
  # The manifest knows when and how long.
  [ "$name" = manifest.json ] || cmp "$file" "merged/$name"
done
echo "the merged result has the bytes of one run: $(ls merged | wc -l) files"
