# Tanbark's role, made with the database: it owns it and is no superuser, to whom no policy of the database would hold.
psql --set=ON_ERROR_STOP=1 --set=password="$POSTGRES_PASSWORD" --username="$POSTGRES_USER" --dbname="$POSTGRES_DB" <<'SQL'
CREATE ROLE tanbark LOGIN PASSWORD :'password';
ALTER DATABASE tanbark OWNER TO tanbark;
SQL
