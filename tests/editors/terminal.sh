# An editor on a screen of its own, under tmux: keys in, the screen out. To be sourced; `$work` is a folder that goes afterwards.
#   terminal_start COMMAND…     80 × 30, or what $columns and $rows say
#   terminal_keys KEY…          as `tmux send-keys` names them; -l TEXT types a text
#   terminal_wait WORDS         until they stand on the screen; else the screen is shown, and the test has failed
#   terminal_wait_gone WORDS
#   terminal_picture FILE       the screen as a picture, where GLIMLOOM_WRITE says that pictures are to be written
#   terminal_wait_end           until the editor has ended, which it must without complaint
#   terminal_end
command -v tmux >/dev/null || { apt-get update -qq && apt-get install -y -qq --no-install-recommends tmux; } >/dev/null 2>&1 ||
  { echo "cannot drive an editor on a screen: tmux is missing and could not be installed" >&2; exit 1; }
terminal_socket=glimloom-$$

terminal() { tmux -L "$terminal_socket" -f /dev/null "$@"; }

terminal_start() {
  printf -v terminal_command '%q ' "$@"
  TERM=xterm-256color COLORTERM=truecolor terminal new-session -d -x "${columns:-80}" -y "${rows:-30}" "$terminal_command; echo \$? > $(printf %q "$work/ended")" \; \
    set -g remain-on-exit on \; set -g status off \; set -g escape-time 0 \; set -g default-terminal tmux-256color \; set -ga terminal-overrides ',*:Tc'
}

terminal_keys() { terminal send-keys "$@"; }
terminal_screen() { terminal capture-pane -p; }

terminal_until() {
  local _
  for _ in $(seq 200); do
    if terminal_screen 2>/dev/null | grep -qF -- "$2"; then [ "$1" = there ] && break; else [ "$1" = gone ] && break; fi
    sleep 0.1
  done
  if terminal_screen | grep -qF -- "$2"; then [ "$1" = there ]; else [ "$1" = gone ]; fi || {
    terminal_screen >&2 || true
    echo "FAILED: \`$2\` is not $1" >&2
    terminal_end
    exit 1
  }
  echo "ok on the screen, $1: $2"
}
terminal_wait() { terminal_until there "$1"; }
terminal_wait_gone() { terminal_until gone "$1"; }

terminal_wait_end() {
  local _
  for _ in $(seq 100); do [ -s "$work/ended" ] && break; sleep 0.1; done
  [ "$(cat "$work/ended" 2>/dev/null)" = 0 ] || {
    terminal_screen >&2 || true
    echo "FAILED: the editor does not end, or not well: $(cat "$work/ended" 2>/dev/null)" >&2
    exit 1
  }
  echo "ok the editor has ended"
}

terminal_picture() {
  [ -n "${GLIMLOOM_WRITE:-}" ] || return 0
  sleep 1
  terminal capture-pane -e -N -p > "$work/screen"
  local here top
  here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
  top=$(cd "$here/../.." && pwd)
  if [ ! -x "$top/target/pictures/bin/python" ]; then
    python3 -m venv "$top/target/pictures"
    "$top/target/pictures/bin/pip" install --quiet --disable-pip-version-check pillow==11.3.0
  fi
  "$top/target/pictures/bin/python" "$here/picture.py" "$work/screen" "$1"
}

terminal_end() { terminal kill-server 2>/dev/null || true; }
