"""A seal on every page of the register; pages that are there are sealed as they are."""

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from training.models import triggers
from training.sealing import seal


def guards_down(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.remove(schema_editor.connection)


def seal_and_guard(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    pages = apps.get_model("training", "Entry").objects
    for page in pages.filter(seal="").only("hash").iterator(chunk_size=2000):
        pages.filter(pk=page.pk).update(seal=seal(page.hash))
    triggers.install(schema_editor.connection)


def guards_up(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    triggers.install(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("training", "0004_sittings_marked_again")]
    operations = [
        migrations.RunPython(guards_down, guards_up),
        migrations.AddField("entry", "seal", models.CharField(default="", max_length=64), preserve_default=False),
        migrations.RunPython(seal_and_guard, guards_down),
    ]
