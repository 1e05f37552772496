#!/usr/bin/env bash
# Runs a command with a screen of its own: starts a virtual X server on a free display, runs the command with DISPLAY set, and
# ends the server (and nothing else) afterwards. Gives the command's own exit code.
#
#   tests/window.sh [--size WIDTHxHEIGHT] COMMAND [ARGUMENT ...]
#
# There is no window manager: a script that types must first give the window the keyboard (xdotool windowfocus --sync ID), and
# ends the program by its own shortcut, since a window killed from outside makes it fail.
#
# Needs the Debian package xvfb, and for the window itself
#   libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0 libgl1
set -euo pipefail

size=1600x1000
if [[ ${1:-} == --size ]]; then
    size=${2:?--size needs WIDTHxHEIGHT}
    shift 2
fi
if [[ $# -eq 0 ]]; then
    echo "usage: tests/window.sh [--size WIDTHxHEIGHT] COMMAND [ARGUMENT ...]" >&2
    exit 2
fi
if ! command -v Xvfb >/dev/null; then
    echo "Xvfb is missing; install it with: apt-get install -y --no-install-recommends xvfb" >&2
    exit 2
fi

folder=$(mktemp -d)
server=
cleanup() {
    if [[ -n $server ]]; then
        kill "$server" 2>/dev/null || true
        wait "$server" 2>/dev/null || true
    fi
    rm -rf "$folder"
}
trap cleanup EXIT

# The server picks a free display itself and writes its number once it takes connections.
Xvfb -displayfd 3 -screen 0 "${size}x24" -nolisten tcp 3>"$folder/display" 2>"$folder/log" &
server=$!
for _ in $(seq 1 150); do
    [[ -s $folder/display ]] && break
    if ! kill -0 "$server" 2>/dev/null; then
        echo "Xvfb ended at once:" >&2
        cat "$folder/log" >&2
        exit 2
    fi
    sleep 0.1
done
if [[ ! -s $folder/display ]]; then
    echo "Xvfb did not start within 15 seconds:" >&2
    cat "$folder/log" >&2
    exit 2
fi

status=0
env -u WAYLAND_DISPLAY -u WAYLAND_SOCKET DISPLAY=":$(cat "$folder/display")" "$@" || status=$?
exit "$status"
