#!/usr/bin/env bash
# One shard of a study per task of a Slurm job array. From the folder of the spec:
#
#   mkdir -p shards
#   job=$(sbatch --parsable --array=1-16 array.sh my-study.toml shards)
#   sbatch --dependency=afterok:$job merge.sh shards results/my-study
#
# A task that is requeued or submitted again goes on from its finished blocks; a finished shard is left as it is. To make
# a few shards again, say how many there are in all, since the array no longer does:
#
#   SHARDS=16 sbatch --array=3,7 array.sh my-study.toml shards
#
# Bundle work: a shard should take minutes. Array numbers end at MaxArraySize - 1, as a rule 1000. What is printed goes to
# shards/, which has to exist before the job is submitted.
#SBATCH --job-name=agogic-shard
#SBATCH --cpus-per-task=1
#SBATCH --requeue
#SBATCH --open-mode=append
#SBATCH --output=shards/task-%a.log
set -euo pipefail

if [ $# -ne 2 ]; then
  echo "usage: sbatch --array=1-N array.sh SPEC FOLDER" >&2
  exit 2
fi
spec=$1
folder=$2
id=${SLURM_ARRAY_TASK_ID:?this script is a task of a job array; submit it with sbatch --array=1-N}

if [ -n "${SHARDS:-}" ]; then
  of=$SHARDS
  number=$id
else
  of=${SLURM_ARRAY_TASK_COUNT:?}
  min=${SLURM_ARRAY_TASK_MIN:-1}
  max=${SLURM_ARRAY_TASK_MAX:-$((min + of - 1))}
  step=${SLURM_ARRAY_TASK_STEP:-1}
  if [ $(((max - min) / step + 1)) -ne "$of" ]; then
    echo "the array is no plain range; say how many shards there are in all with SHARDS=N" >&2
    exit 2
  fi
  number=$(((id - min) / step + 1))
fi

# Only what the task was given: without --cpus-per-task Slurm tells what the node gives it.
threads=${SLURM_CPUS_PER_TASK:-${SLURM_CPUS_ON_NODE:-1}}
echo "shard $number/$of on $(hostname), $threads threads, restart ${SLURM_RESTART_COUNT:-0}"
exec "${AGOGIC:-agogic}" --threads "$threads" shard "$spec" "$number/$of" --out "$folder/$number-of-$of"
