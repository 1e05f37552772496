#!/usr/bin/env bash
# In a real window: drags rack R5 of the example to the right with the mouse, saves with the keyboard, and compares the saved
# plan with the one before. Run it on a screen of its own:
#
#   tests/window.sh tests/drag.sh target/release/aislewright FOLDER
#
# FOLDER takes the plan and the pictures before.png and after.png. Needs xdotool and, for the pictures, imagemagick.
set -euo pipefail
program=$(realpath "$1")
folder=$2
here=$(cd "$(dirname "$0")/.." && pwd)
plan=$folder/drag.plan.ron
cp "$here/demo-data/bottling-room.plan.ron" "$plan"
export XDG_DATA_HOME=$folder/state
export LIBGL_ALWAYS_SOFTWARE=1

"$program" "$plan" 2>"$folder/window.log" &
editor=$!
trap 'kill "$editor" 2>/dev/null || true' EXIT
window=
for _ in $(seq 1 120); do
    window=$(xdotool search --name '^Aislewright$' 2>/dev/null | head -1 || true)
    [[ -n $window ]] && break
    kill -0 "$editor" || { cat "$folder/window.log" >&2; exit 1; }
    sleep 0.25
done
[[ -n $window ]] || { echo "no window appeared" >&2; exit 1; }
xdotool windowsize "$window" 1600 1000
xdotool windowmove "$window" 0 0
sleep 3
xdotool windowfocus --sync "$window" || true
import -window "$window" "$folder/before.png" || true

# Where R5 lies on the screen is said by the editor itself: the picture of the window at this size is the same everywhere, so
# its place is a fixed one.
x=${DRAG_X:-492}
y=${DRAG_Y:-598}
xdotool mousemove "$x" "$y" sleep 0.5 mousedown 1 sleep 0.4
for k in 1 2 3 4 5 6 7 8; do
    xdotool mousemove $((x + k * 15)) "$y"
    sleep 0.2
done
sleep 0.5
xdotool mouseup 1
sleep 1.5
import -window "$window" "$folder/after.png" || true
xdotool key --clearmodifiers ctrl+s
sleep 1.5
xdotool key --clearmodifiers ctrl+q
for _ in $(seq 1 40); do
    kill -0 "$editor" 2>/dev/null || break
    sleep 0.25
done
if kill -0 "$editor" 2>/dev/null; then
    echo "the window did not close" >&2
    exit 1
fi
wait "$editor" || { echo "the editor ended with an error" >&2; cat "$folder/window.log" >&2; exit 1; }

old=$(grep '"R5": Rack' "$here/demo-data/bottling-room.plan.ron")
new=$(grep '"R5": Rack' "$plan")
echo "before: $old"
echo "after:  $new"
[[ $old != "$new" ]] || { echo "the drag did not reach the saved plan" >&2; exit 1; }
# Nothing else of the plan may have changed.
changed=$(diff <(sed 's/[[:space:]]//g' "$here/demo-data/bottling-room.plan.ron") <(sed 's/[[:space:]]//g' "$plan") | grep -c '^>' || true)
[[ $changed == 1 ]] || { echo "$changed lines changed, only R5's should have" >&2; exit 1; }
