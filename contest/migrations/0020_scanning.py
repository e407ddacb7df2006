import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q

KEY = ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID"))
READINGS = ("reading", "reasonsreading", "markreading", "choicereading")
SOURCES = [
    ("paper", "read off paper by a person"),
    ("official", "entered by the official: nothing was copied, and nothing misread"),
    ("scanner", "read off paper by a scanner"),
]
STATES = [
    ("waiting", "waits"),
    ("reading", "is being read"),
    ("done", "read"),
    ("cancelled", "cancelled"),
    ("failed", "stopped"),
]
BECAME = [
    ("reading", "read by scanner"),
    ("waiting", "waits for a person"),
    ("settled", "read by a person"),
    ("aside", "put aside"),
]


def a_scanner_reads_too(model):
    source = models.CharField(choices=SOURCES, default="paper", max_length=8)
    known = models.CheckConstraint(condition=Q(source__in=["paper", "official", "scanner"]), name=f"{model}_source")
    return [
        migrations.RemoveConstraint(model_name=model, name=f"{model}_source"),
        migrations.AlterField(model_name=model, name="source", field=source),
        migrations.AddConstraint(model_name=model, constraint=known),
    ]


class Migration(migrations.Migration):
    dependencies = [("contest", "0019_events")]

    operations = [
        migrations.CreateModel(
            name="ScanRules",
            fields=[
                KEY,
                ("on", models.BooleanField(default=False)),
                ("most_wrong", models.PositiveSmallIntegerField(default=10)),
                ("confidence", models.PositiveSmallIntegerField(default=95)),
                ("seed", models.CharField(max_length=16)),
                ("keep_days", models.PositiveSmallIntegerField(default=30)),
                ("on_packets", models.BooleanField(default=False)),
                (
                    "contest",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="scan_rules", to="contest.contest"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "scan rules",
                "constraints": [
                    models.CheckConstraint(
                        condition=Q(most_wrong__gte=1, most_wrong__lte=200), name="scan_rules_most_wrong"
                    ),
                    models.CheckConstraint(
                        condition=Q(confidence__gte=50, confidence__lte=99), name="scan_rules_confidence"
                    ),
                    models.CheckConstraint(condition=~Q(seed=""), name="scan_rules_seed"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Scan",
            fields=[
                KEY,
                ("digest", models.CharField(max_length=64)),
                ("name", models.CharField(blank=True, max_length=200)),
                ("by", models.CharField(max_length=60)),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("state", models.CharField(choices=STATES, default="waiting", max_length=9)),
                ("pages", models.PositiveIntegerField(default=0)),
                ("page", models.PositiveIntegerField(default=0)),
                ("skipped", models.PositiveIntegerField(default=0)),
                ("trouble", models.CharField(blank=True, max_length=20)),
                (
                    "contest",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="scans",
                        to="contest.contest",
                    ),
                ),
            ],
            options={
                "ordering": ["-pk"],
                "constraints": [
                    models.UniqueConstraint(fields=["contest", "digest"], name="scan_once"),
                    models.CheckConstraint(
                        condition=Q(state__in=["waiting", "reading", "done", "cancelled", "failed"]), name="scan_state"
                    ),
                    models.CheckConstraint(condition=~Q(digest=""), name="scan_digest"),
                ],
            },
        ),
        migrations.CreateModel(
            name="ScannedCard",
            fields=[
                KEY,
                ("page", models.PositiveIntegerField()),
                ("place", models.PositiveSmallIntegerField()),
                ("number", models.PositiveIntegerField(blank=True, null=True)),
                ("placing", models.CharField(blank=True, max_length=10)),
                ("certain", models.BooleanField(default=False)),
                ("confidence", models.PositiveSmallIntegerField(default=0)),
                ("troubles", models.CharField(blank=True, max_length=200)),
                ("became", models.CharField(choices=BECAME, max_length=7)),
                ("submission", models.UUIDField(unique=True)),
                ("by", models.CharField(blank=True, max_length=60)),
                ("reason", models.CharField(blank=True, max_length=200)),
                (
                    "scan",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="cards",
                        to="contest.scan",
                    ),
                ),
                (
                    "judging_class",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="scanned",
                        to="contest.judgingclass",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "indexes": [
                    models.Index(fields=["judging_class", "number"], name="scanned_card_of"),
                    models.Index(fields=["became", "scan"], name="scanned_card_waits"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=["scan", "page", "place"], name="scanned_card_place"),
                    models.CheckConstraint(
                        condition=Q(became__in=["reading", "waiting", "settled", "aside"]), name="scanned_card_became"
                    ),
                    models.CheckConstraint(condition=Q(confidence__lte=1000), name="scanned_card_confidence"),
                    models.CheckConstraint(
                        condition=Q(became__in=["settled", "aside"]) & ~Q(by="") | Q(became__in=["reading", "waiting"]),
                        name="scanned_card_by",
                    ),
                    models.CheckConstraint(
                        condition=Q(became="aside") & ~Q(reason="") | ~Q(became="aside"), name="scanned_card_aside"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CardPicture",
            fields=[
                KEY,
                ("image", models.BinaryField()),
                (
                    "card",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="picture", to="contest.scannedcard"
                    ),
                ),
            ],
        ),
        *[operation for model in READINGS for operation in a_scanner_reads_too(model)],
    ]
