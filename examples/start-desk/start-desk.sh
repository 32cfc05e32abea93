#!/bin/sh
# Opens the desk on Linux and macOS; the rest is in start-desk.py.
cd "$(dirname "$0")" || exit 1
status=none
for python in python3.14 python3.13 python3.12 python3.11 python3 python; do
  if "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    "$python" start-desk.py "$@"
    status=$?
    break
  fi
done
[ "$status" = 0 ] && exit 0
if [ "$status" = none ]; then
  echo "This computer has no Python yet, or one that is too old."
  echo "Python is free. It is what the desk is written in; 3.11 or newer is needed."
  case $(uname) in
    Darwin) echo "Get it from https://www.python.org/downloads/ and install it." ;;
    *) echo "On Debian, Ubuntu and Mint, type: sudo apt install python3 python3-venv"
       echo "Elsewhere, look for python3 where you install other programs." ;;
  esac
  echo "Then start this again."
  status=1
fi
if [ -t 0 ]; then
  printf 'Press Enter to close this window. '
  read -r _
fi
exit "$status"
