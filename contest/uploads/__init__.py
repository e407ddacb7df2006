"""Files that people bring are read in a process of its own, with limits, while everybody else goes on.

`brought.py` puts a file in line and finds it again, and `files.py` says where it lies meanwhile; `working.py` has it
read and does what it is for, by the `purposes.py` that the apps name; `readers.py` says what can be read and what of
the machine each may use; `child.py` is the process; `views.py` shows how far it is.
"""
