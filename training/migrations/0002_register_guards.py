"""Triggers that refuse to change or delete a register entry."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from training.models import triggers


def put_up(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.install(schema_editor.connection)


def take_down(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.remove(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("training", "0001_initial")]
    operations = [migrations.RunPython(put_up, take_down)]
