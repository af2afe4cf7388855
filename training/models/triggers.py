"""Database triggers that refuse to change or delete a register entry, on SQLite and on PostgreSQL.

They hold against any program that opens the database, not only against Headlap's own code.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "training_entry"
REFUSAL = "register entries are never changed or deleted"

SQLITE_INSTALL = [
    f"CREATE TRIGGER IF NOT EXISTS {TABLE}_no_update BEFORE UPDATE ON {TABLE} "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
    f"CREATE TRIGGER IF NOT EXISTS {TABLE}_no_delete BEFORE DELETE ON {TABLE} "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END",
]
SQLITE_REMOVE = [f"DROP TRIGGER IF EXISTS {TABLE}_no_update", f"DROP TRIGGER IF EXISTS {TABLE}_no_delete"]

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

INSTALL = {"sqlite": SQLITE_INSTALL, "postgresql": POSTGRESQL_INSTALL}
REMOVE = {"sqlite": SQLITE_REMOVE, "postgresql": POSTGRESQL_REMOVE}


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the guards up; a database of another kind is refused rather than left unguarded."""
    _run(connection, INSTALL)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the guards down: for migrations that rebuild the table, and for tests that empty it."""
    _run(connection, REMOVE)


def _run(connection: BaseDatabaseWrapper, statements: dict[str, list[str]]) -> None:
    if connection.vendor not in statements:
        raise RuntimeError(f"The register needs SQLite or PostgreSQL, not {connection.vendor}.")
    with connection.cursor() as cursor:
        for statement in statements[connection.vendor]:
            cursor.execute(statement)
