#!/usr/bin/env bash
# Start Ampturn: the window, or any of its commands (bash app/run.sh evaluate FILE).
# Without a display and without arguments: the margins and the sheet of the sample project.
set -u
source "$(dirname "${BASH_SOURCE[0]}")/setup.sh"

need_packages "${QT_PACKAGES[@]}" || exit 1
if has_screen; then
    need_packages "${SCREEN_PACKAGES[@]}" || exit 1
fi
make_environment run || exit 1

# -P keeps a folder called core or app in the caller's directory from being imported instead.
ampturn() { "$venv/bin/python" -P -m app "$@"; }

if [ $# -gt 0 ] || has_screen; then
    ampturn "$@"
    exit
fi

sample="$ROOT/sample_projects/sample_carousel.json"
say "No display found, so no window: the margins of the sample project and its sheet."
say ""
ampturn evaluate "$sample"
case $? in
    0) ;;
    1) say "A margin is below its target or a candidate is excluded; that is the result, not a failure." ;;
    3) say "No margin is missed, but a required one could not be checked; the list says which." ;;
    *) say "The sample project could not be evaluated."; exit 1 ;;
esac
sheet="$ROOT/out/sample_sheet.pdf"
mkdir -p "$ROOT/out" && ampturn sheet "$sample" -o "$sheet" || exit 1
say "Sheet: $sheet"
