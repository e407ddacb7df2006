import pytest

from contest.scanning import jobs


@pytest.fixture(autouse=True)
def nobody_reads_beside_a_test(request, monkeypatch):
    """No thread reads pages that the transaction of a test hides from it, and outlives that test."""
    marker = request.node.get_closest_marker("django_db")
    if marker and not marker.kwargs.get("transaction"):
        monkeypatch.setattr(jobs, "go_on", lambda: None)
