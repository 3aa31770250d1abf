#!/bin/sh
# What the runner of a forge does: install, check, build. Any fault stops it, and the old edition stays up.
# EARLEAF  what pip installs: a folder with Earleaf's source, or an address that pip understands
# OUT      the folder that the forge publishes (public, if not said)
set -eu
if ! command -v earleaf >/dev/null; then
  python3 -m venv .venv
  .venv/bin/pip install --quiet "$EARLEAF"
  PATH="$PWD/.venv/bin:$PATH"
fi
earleaf check
earleaf build --plain --out "${OUT:-public}"
