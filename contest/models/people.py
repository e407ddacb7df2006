"""Who competes, and who hears reasons."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.utils.translation import gettext_lazy as _

from contest.models.names import Names
from contest.models.outline import TEXT_LENGTH, Contest, Division, ResultSet


class Team(models.Model):
    """A team is known by its division and name together."""

    holds_names = Names(emptied=("say_name",))  # its own name is no person's, and stays

    division = models.ForeignKey(Division, models.PROTECT, related_name="teams")
    name = models.CharField(max_length=TEXT_LENGTH)
    say_name = models.CharField(max_length=TEXT_LENGTH, blank=True)  # for the announcer

    class Meta:
        ordering = ["name"]
        constraints = [
            UniqueConstraint(fields=["division", "name"], name="team_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="team_named"),
        ]

    def __str__(self) -> str:
        return self.name


class Contestant(models.Model):
    """A contestant; without a `team`, one who competes as an individual only.

    Most are minors: `show_name` False means that the family does not want the name shown anywhere in public.
    """

    class Unranked(models.TextChoices):
        NOT = "", _("ranked like everybody")
        BARRED = "barred", _("may not win an individual award")
        ASKED = "asked", _("asked not to be ranked")

    holds_names = Names(
        emptied=("first_name", "last_name", "say_name"), words=("ineligible_reason", "unranked_reason", "late_note")
    )

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="contestants", db_index=False)
    number = models.PositiveIntegerField()
    division = models.ForeignKey(Division, models.PROTECT, related_name="contestants")
    team = models.ForeignKey(Team, models.PROTECT, null=True, blank=True, related_name="members")
    first_name = models.CharField(max_length=TEXT_LENGTH, blank=True)
    last_name = models.CharField(max_length=TEXT_LENGTH, blank=True)
    say_name = models.CharField(max_length=TEXT_LENGTH, blank=True)  # for the announcer
    group = models.CharField(max_length=TEXT_LENGTH, blank=True)
    show_name = models.BooleanField(default=True)
    present = models.BooleanField(default=True)
    came_from = models.CharField(max_length=TEXT_LENGTH, blank=True)  # the contest or county they went on from
    checked_in_at = models.DateTimeField(null=True, blank=True)
    # Scores are kept and count for nobody; the reason is for the superintendent alone.
    ineligible = models.BooleanField(default=False)
    ineligible_reason = models.CharField(max_length=TEXT_LENGTH, blank=True)

    # In no list of individuals, and counts for the team; the reason is for the superintendent alone.
    unranked = models.CharField(max_length=6, choices=Unranked, blank=True)
    unranked_reason = models.CharField(max_length=TEXT_LENGTH, blank=True)
    alternate = models.BooleanField(default=False)  # of the team, without counting for it

    late = models.BooleanField(default=False)  # entered after the contest's `late_after`
    late_note = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            UniqueConstraint(fields=["contest", "number"], name="contestant_number_unique"),
            CheckConstraint(condition=Q(number__gte=1), name="contestant_number_positive"),
            CheckConstraint(condition=Q(unranked__in=["", "barred", "asked"]), name="contestant_unranked"),
            CheckConstraint(
                condition=~Q(unranked="barred") | ~Q(unranked_reason=""), name="contestant_barred_for_a_reason"
            ),
            CheckConstraint(condition=Q(alternate=False) | Q(team__isnull=False), name="alternate_of_a_team"),
            CheckConstraint(
                condition=Q(ineligible=False) | ~Q(ineligible_reason=""), name="contestant_ineligible_for_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return str(self.number)


class SetMember(models.Model):
    """A contestant in a set of results. `team` is who they count for there; empty where it is their team of the
    contest."""

    result_set = models.ForeignKey(ResultSet, models.CASCADE, related_name="members", db_index=False)
    contestant = models.ForeignKey(Contestant, models.CASCADE, related_name="in_sets")
    team = models.CharField(max_length=TEXT_LENGTH, blank=True)

    class Meta:
        ordering = ["result_set__position", "pk"]
        constraints = [UniqueConstraint(fields=["result_set", "contestant"], name="set_member_unique")]

    def __str__(self) -> str:
        return f"{self.contestant_id} in {self.result_set_id}"


class ReasonsOfficial(models.Model):
    """An official who hears reasons, known by a name or a letter."""

    holds_names = Names(people=("name",))

    contest = models.ForeignKey(Contest, models.CASCADE, related_name="reasons_officials")
    name = models.CharField(max_length=TEXT_LENGTH)

    class Meta:
        ordering = ["name"]
        constraints = [
            UniqueConstraint(fields=["contest", "name"], name="reasons_official_name_unique"),
            CheckConstraint(condition=~Q(name=""), name="reasons_official_named"),
        ]

    def __str__(self) -> str:
        return self.name
