#!/usr/bin/env bash
#SBATCH --job-name=tonefall
#SBATCH --array=1-8
#SBATCH --cpus-per-task=2
#SBATCH --output=part-%a.log
# One part of a run on Slurm, into part-1.ndjson, part-2.ndjson ...
#   sbatch --wait slurm.sh PICTURES... [options of tonefall grade]
# Part 3 alone, again:
#   TONEFALL_SHARD_TOTAL=8 sbatch --wait --array=3 slurm.sh PICTURES... [the same options]
set -euo pipefail
tonefall grade "$@" --shard auto --format ndjson --force --output "part-$SLURM_ARRAY_TASK_ID.ndjson"
