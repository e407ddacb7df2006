"""Files that people bring are read in a process of its own, with limits, while everybody else goes on.

`readers.py` says what can be read and what of the machine each may use; `child.py` is the process; `brought.py` starts
it, hears how far it is and does the rest; `views.py` shows that.
"""
