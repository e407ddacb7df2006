"""A contest is made, set up, and taken away as a book."""

from scoring.core.texts import gettext_noop as _

SENTENCES = {
    "contest_made": _("contest made"),
    "book_loaded": _("contest made from a book"),
    "book_fetched": _("contest book fetched"),
    "outline_copied": _("outline copied from {contest}"),
    "facts_changed": _("facts changed"),
    "rules_changed": _("rules changed"),
    "division_added": _("division {named} added"),
    "division_changed": _("division {named} changed"),
    "division_removed": _("division {named} removed"),
    "divisions_ordered": _("order of the divisions changed"),
    "category_added": _("category {named} added"),
    "category_changed": _("category {named} changed"),
    "category_removed": _("category {named} removed"),
    "categories_ordered": _("order of the categories changed"),
    "class_added": _("class {judged} added"),
    "class_changed": _("class {judged} changed"),
    "class_removed": _("class {judged} removed"),
    "classes_ordered": _("order of the classes changed"),
    "class_void_for": _("class {judged} made void for {divisions}, {reason}"),
    "class_void": _("class {judged} made void, {reason}"),
    "class_full_points": _("full points for everybody in class {judged}, {reason}"),
    "class_counts": _("class {judged} counts again, {reason}"),
    "part_added": _("part {named} added"),
    "part_changed": _("part {named} changed"),
    "part_removed": _("part {named} removed"),
    "parts_ordered": _("order of the parts changed"),
    "ties_individual": _("tie order of individuals changed"),
    "ties_team": _("tie order of teams changed"),
}
