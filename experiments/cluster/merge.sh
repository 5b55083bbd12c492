#!/usr/bin/env bash
# The shards of a study put together; see array.sh.
#SBATCH --job-name=agogic-merge
#SBATCH --requeue
#SBATCH --output=shards/merge.log
set -euo pipefail

if [ $# -ne 2 ]; then
  echo "usage: merge.sh FOLDER OUT" >&2
  exit 2
fi
# The logs of the tasks lie in the same folder; shards are folders.
exec "${AGOGIC:-agogic}" merge "$1"/*/ --out "$2"
