from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("checkoffs", "0001_tables")]

    operations = [
        migrations.AddField(
            model_name="slot",
            name="minutes",
            field=models.PositiveSmallIntegerField(default=30, verbose_name="length with the student's extra time"),
        ),
    ]
