#!/bin/sh
# A large manual on several machines that share nothing but the repository.
#   sh parts.sh build   one job of several: every COUNT-th part, from number INDEX on (the first is 1), into parts/
#   sh parts.sh join    the last job: all parts, copied into parts/ before, become the site
# EARLEAF  what pip installs: a folder with Earleaf's source, or an address that pip understands
# OUT      the folder that the forge publishes (public, if not said)
set -eu
if ! command -v earleaf >/dev/null; then
  python3 -m venv .venv
  .venv/bin/pip install --quiet "$EARLEAF"
  PATH="$PWD/.venv/bin:$PATH"
fi
if [ "$1" = join ]; then
  earleaf join parts/* --out "${OUT:-public}"
  exit
fi
number=0
plan=$(earleaf parts)
for part in $plan; do
  number=$((number + 1))
  if [ $((number % COUNT)) -eq $((INDEX % COUNT)) ]; then
    earleaf build --plain --part "$part" --out "parts/$(echo "$part" | tr / -)"
  fi
done
