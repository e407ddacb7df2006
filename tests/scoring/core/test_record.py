"""What a record says by itself."""

from django.db.models import NOT_PROVIDED

from contest.records.fields import RECORDS, shared


def test_what_nobody_said_is_the_same_in_a_record_and_in_a_table():
    of_records, of_tables = {}, {}
    for model, record in RECORDS.items():
        fields = getattr(record, "__dataclass_fields__", {})
        said = {name: field.default for name, field in fields.items()} or record._field_defaults
        for name in shared(model):
            default = model._meta.get_field(name).default
            if name in said and default is not NOT_PROVIDED:
                of_records[model, name], of_tables[model, name] = said[name], default
    assert len(of_tables) > 10
    assert of_records == of_tables
