"""What is done now and again, in a thread of the serving process."""

import threading
from importlib import import_module

from contest.serving.child import NOW_AND_AGAIN
from contest.serving.now_and_again import keep_doing


def test_it_is_done_again_and_again_whatever_went_wrong(caplog):
    stop, looks = threading.Event(), []

    def look():
        looks.append(len(looks))
        if looks == [0]:
            raise OSError("the disk is full")
        stop.set()

    thread = threading.Thread(target=keep_doing, args=[look, stop, 0.0])
    thread.start()
    thread.join(10)
    assert not thread.is_alive()
    assert looks == [0, 1]
    assert "look failed, and is tried again later" in caplog.text


def test_what_is_done_is_there():
    assert all(callable(getattr(import_module(module), work)) for module, work in NOW_AND_AGAIN)
