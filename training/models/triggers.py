"""Database triggers that refuse to change or delete a register entry, on SQLite and on PostgreSQL.

They hold against any program that opens the database, not only against Headlap's own code.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "training_entry"
REFUSAL = "register entries are never changed or deleted"

SQLITE_GUARDS = {
    f"{TABLE}_no_update": f"BEFORE UPDATE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
    f"{TABLE}_no_delete": f"BEFORE DELETE ON {TABLE} BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
    # INSERT OR REPLACE deletes the row in its way without asking the guard above (SQLite, "ON CONFLICT clause").
    f"{TABLE}_no_replace": f"BEFORE INSERT ON {TABLE} WHEN EXISTS (SELECT 1 FROM {TABLE} AS old WHERE old.id = NEW.id "
    "OR (old.company_id = NEW.company_id AND old.number = NEW.number)) "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
}
SQLITE_INSTALL = [f"CREATE TRIGGER IF NOT EXISTS {name} {guard}" for name, guard in SQLITE_GUARDS.items()]
SQLITE_REMOVE = [f"DROP TRIGGER IF EXISTS {name}" for name in SQLITE_GUARDS]

POSTGRESQL_INSTALL = [
    f"CREATE OR REPLACE FUNCTION {TABLE}_refuse() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
    f"CREATE OR REPLACE TRIGGER {TABLE}_no_change BEFORE UPDATE OR DELETE ON {TABLE} "
    f"FOR EACH ROW EXECUTE FUNCTION {TABLE}_refuse()",
    f"CREATE OR REPLACE TRIGGER {TABLE}_no_truncate BEFORE TRUNCATE ON {TABLE} "
    f"FOR EACH STATEMENT EXECUTE FUNCTION {TABLE}_refuse()",
]
POSTGRESQL_REMOVE = [
    f"DROP TRIGGER IF EXISTS {TABLE}_no_change ON {TABLE}",
    f"DROP TRIGGER IF EXISTS {TABLE}_no_truncate ON {TABLE}",
]

POSTGRESQL_GUARDS = (f"{TABLE}_no_change", f"{TABLE}_no_truncate")

INSTALL = {"sqlite": SQLITE_INSTALL, "postgresql": POSTGRESQL_INSTALL}
REMOVE = {"sqlite": SQLITE_REMOVE, "postgresql": POSTGRESQL_REMOVE}


def install(connection: BaseDatabaseWrapper) -> None:
    """Put up the guards that are missing; a database of another kind is refused rather than left unguarded."""
    _run(connection, INSTALL)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the guards down: for migrations that rebuild the table, and for tests that empty it."""
    _run(connection, REMOVE)


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """The names of the guards that are not there, are switched off, or no longer say what they should."""
    found = {"sqlite": _sqlite_guards, "postgresql": _postgresql_guards}[connection.vendor](connection)
    wanted = {"sqlite": tuple(SQLITE_GUARDS), "postgresql": POSTGRESQL_GUARDS}[connection.vendor]
    return [name for name in wanted if name not in found]


def _sqlite_guards(connection: BaseDatabaseWrapper) -> set[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s", [TABLE])
        return {name for name, sql in cursor.fetchall() if sql == f"CREATE TRIGGER {name} {SQLITE_GUARDS.get(name)}"}


def _postgresql_guards(connection: BaseDatabaseWrapper) -> set[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgname, prosrc FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid "
            "WHERE tgrelid = %s::regclass AND tgenabled IN ('O', 'A')",
            [TABLE],
        )
        return {name for name, source in cursor.fetchall() if f"RAISE EXCEPTION '{REFUSAL}'" in source}


def _run(connection: BaseDatabaseWrapper, statements: dict[str, list[str]]) -> None:
    if connection.vendor not in statements:
        raise RuntimeError(f"The register needs SQLite or PostgreSQL, not {connection.vendor}.")
    with connection.cursor() as cursor:
        for statement in statements[connection.vendor]:
            cursor.execute(statement)
