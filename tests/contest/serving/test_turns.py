"""Who gets a thread next."""

from types import SimpleNamespace

from contest.serving.turns import Turns


def asks(address, path):
    request = SimpleNamespace(command="GET", path=path, error=None)
    return SimpleNamespace(addr=(address, 1), requests=[request])


def next_of(turns):
    return turns.popleft().requests[0].path


def test_addresses_take_turns():
    turns = Turns(lambda method, path: False)
    for path, address in enumerate(["loud", "loud", "loud", "quiet", "other", "other"], start=1):
        turns.append(asks(address, path))
    assert len(turns) == 6
    assert [next_of(turns) for _ in range(6)] == [1, 4, 5, 2, 6, 3]
    assert not turns


def test_of_what_takes_long_one_is_under_way_and_the_rest_passes_by():
    turns = Turns(lambda method, path: path.startswith("long"))
    for path in ["short-1", "long-1", "long-2", "short-2"]:
        turns.append(asks("one", path))
    assert len(turns) == 4
    assert [next_of(turns) for _ in range(3)] == ["long-1", "short-1", "short-2"]
    assert not turns
    turns.heavy_under_way = False
    assert [next_of(turns) for _ in range(len(turns))] == ["long-2"]


def test_what_could_not_be_read_is_answered_like_anything_short():
    turns = Turns(lambda method, path: True)
    turns.append(SimpleNamespace(addr=("one", 1), requests=[SimpleNamespace(error="unreadable")]))
    turns.heavy_under_way = True
    assert len(turns) == 1
    assert not turns.popleft().is_heavy
