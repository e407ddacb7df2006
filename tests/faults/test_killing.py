"""The server killed outright, twenty times, while three helpers read cards."""

from tests.faults.killing import kill_again_and_again


def test_what_was_acknowledged_survives_twenty_kills(tmp_path):
    killed = kill_again_and_again(tmp_path / "data", 20)
    print(killed)
    assert killed.acknowledged >= 20
    assert killed.worst.is_whole, killed
    assert killed.last.is_whole, killed
    assert killed.last.readings == killed.acknowledged, "every reading was sent until it was answered for"
