#!/usr/bin/env bash
# The PostgreSQL server of a test program. The server refuses to run as root, so root hands it to the user postgres.
#   database-server.sh ORDER PROGRAMS FOLDER PORT TEST_PROCESS [SETTING ...|DATABASE SQL]
set -uo pipefail
order="$1" programs="$2" folder="$3" port="$4" tests="$5"
shift 5
cd /

as_server() {
  if [ "$(id -u)" -eq 0 ]; then
    setpriv --reuid=postgres --regid=postgres --clear-groups "$@"
  else
    "$@"
  fi
}

start() {
  local options="-p $port -c listen_addresses=127.0.0.1 -c unix_socket_directories=$folder -c max_connections=300"
  local setting
  for setting in "$@"; do
    options+=" -c $setting"
  done
  as_server "$programs/pg_ctl" -D "$folder/data" -l "$folder/log" -o "$options" -w -t 60 start < /dev/null > "$folder/start.log" 2>&1 ||
    { cat "$folder/start.log" "$folder/log" >&2; return 1; }
}

sql() { as_server "$programs/psql" -h 127.0.0.1 -p "$port" -U postgres -d "$1" -v ON_ERROR_STOP=1 -qAtc "$2"; }

kill_all() {
  local main
  main="$(head -1 "$folder/data/postmaster.pid" 2> /dev/null)" || return 0
  # The postmaster leads no group of its own children's; they are found by their parent.
  local children
  children="$(cat "/proc/$main/task/$main/children" 2> /dev/null)"
  # shellcheck disable=SC2086
  kill -KILL $main $children 2> /dev/null
  local i
  for ((i = 0; i < 100; i++)); do
    kill -0 "$main" 2> /dev/null || break
    sleep 0.02
  done
}

case "$order" in
  create)
    mkdir -p "$folder" && chmod 755 "$folder"
    [ "$(id -u)" -ne 0 ] || chown postgres "$folder"
    locale=(--locale=C.UTF-8)
    # A natural order of words by default, so that tests see whether the store asks for its own.
    "$programs/initdb" --help | grep -q icu-locale && locale=(--locale=C.UTF-8 --locale-provider=icu --icu-locale=en)
    as_server "$programs/initdb" -D "$folder/data" --no-sync -A trust -U postgres -E UTF8 "${locale[@]}" \
      > "$folder/init.log" 2>&1 || { cat "$folder/init.log" >&2; exit 1; }
    start "$@" || exit 1
    sql postgres 'CREATE DATABASE tests' || exit 1
    ;;
  start) start "$@" ;;
  stop) as_server "$programs/pg_ctl" -D "$folder/data" -m fast -w stop > /dev/null ;;
  kill) kill_all ;;
  sql) sql "$@" ;;
  remove)
    as_server "$programs/pg_ctl" -D "$folder/data" -m immediate -w stop > /dev/null 2>&1
    rm -rf "$folder"
    ;;
  watch)
    # On its own, so that whoever kills the tests and their group leaves this one to tidy up.
    setsid bash -c 'while kill -0 "$1" 2> /dev/null && [ -d "$4" ]; do sleep 1; done
      [ ! -d "$4" ] || exec bash "$2" remove "$3" "$4" "$5" "$1"' \
      watch "$tests" "$0" "$programs" "$folder" "$port" > /dev/null 2>&1 < /dev/null &
    ;;
esac
