#!/bin/sh
# For macOS: a double-click opens it in a window of its own. Never run so far.
exec sh "$(dirname "$0")/start-desk.sh"
