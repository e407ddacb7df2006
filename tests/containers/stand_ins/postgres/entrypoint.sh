#!/bin/bash
# As postgres:15 documents: on a first start the database is made, with POSTGRES_USER, POSTGRES_PASSWORD and POSTGRES_DB, and the
# scripts of /docker-entrypoint-initdb.d run against it while it listens on its socket alone.
set -e
if [ "$(id -u)" = 0 ]; then
    mkdir -p "$PGDATA" /var/run/postgresql
    chown -R postgres "$PGDATA" /var/run/postgresql
    chmod 700 "$PGDATA"
    exec setpriv --reuid=postgres --regid=postgres --init-groups "$0" "$@"
fi
if [ ! -s "$PGDATA/PG_VERSION" ]; then
    : "${POSTGRES_PASSWORD:?}" "${POSTGRES_USER:=postgres}"
    initdb --username="$POSTGRES_USER" --pwfile=<(echo "$POSTGRES_PASSWORD") --auth-local=trust --auth-host=scram-sha-256 > /dev/null
    echo "host all all all scram-sha-256" >> "$PGDATA/pg_hba.conf"
    pg_ctl -o "-c listen_addresses=''" -w start > /dev/null
    export POSTGRES_DB="${POSTGRES_DB:-$POSTGRES_USER}"
    [ "$POSTGRES_DB" = postgres ] || psql -q --username="$POSTGRES_USER" --dbname=postgres --set=db="$POSTGRES_DB" <<< 'CREATE DATABASE :"db";'
    for script in /docker-entrypoint-initdb.d/*.sh; do
        echo "running $script"
        if [ -x "$script" ]; then "$script"; else . "$script"; fi
    done
    pg_ctl -m fast -w stop > /dev/null
fi
exec "$@"
