"""The contest book: the open file form of one contest. Plain Python, no Django.

`read_book` and `write_book` are each other's inverse; `write_results` writes what a tally of the book gives.
"""

from contest.book.problems import BookProblems, Problem
from contest.book.read import read_book
from contest.book.results import write_results
from contest.book.write import write_book

__all__ = ["BookProblems", "Problem", "read_book", "write_book", "write_results"]
