"""Ctrl-C while pieces are placed."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest

from kitprep.jobs.stopping import Patience, until_interrupted


def test_the_first_ctrl_c_ends_the_looking_and_the_second_the_job() -> None:
    with until_interrupted(None) as patience:
        patience.start()
        assert not patience.is_over()
        os.kill(os.getpid(), signal.SIGINT)
        assert patience.is_over()
        assert patience.stopped
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(5)  # ends at once, with the exception


def test_ctrl_c_is_as_before_when_all_is_placed() -> None:
    before = signal.getsignal(signal.SIGINT)
    with until_interrupted(None):
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before


def test_another_thread_leaves_ctrl_c_alone() -> None:
    seen = []

    def work() -> None:
        before = signal.getsignal(signal.SIGINT)
        with until_interrupted(None):
            seen.append(signal.getsignal(signal.SIGINT) is before)

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == [True]


def test_time_that_is_up_is_no_interruption() -> None:
    patience = Patience(1e-9)
    patience.start()
    while not patience.is_over():
        pass
    assert not patience.stopped
