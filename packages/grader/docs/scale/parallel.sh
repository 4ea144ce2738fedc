#!/usr/bin/env bash
# Grades pictures in parts with GNU parallel, and joins them. Run it again after a failure: only failed parts run again.
#   parallel.sh PARTS RESULT.csv PICTURES... [options of tonefall grade]
set -euo pipefail
export TONEFALL_SHARD_TOTAL=$1
result=$2
shift 2
# Quoted once for the shell that starts each part. Add --sshloginfile to use other machines, and --jobs to run fewer at once.
arguments=$(printf '%q ' "$@")
seq "$TONEFALL_SHARD_TOTAL" |
  parallel --joblog parts.log --resume-failed \
    "tonefall grade $arguments --shard auto --format ndjson --force --output part-{#}.ndjson #"
tonefall merge part-*.ndjson --format csv --output "$result"
