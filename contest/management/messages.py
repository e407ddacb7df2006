"""What the commands say on the terminal."""


def problems_text(book, problems):
    """All of a book's problems, a line each, under a line that says what to do."""
    count = len(problems.problems)
    what = "1 problem" if count == 1 else f"{count} problems"
    return f"{book}: {what}; nothing was written. Mend and try again:\n{problems}"


def contest_label(contest):
    when = f", {contest.held_on}" if contest.held_on else ""
    return f"{contest.pk}  {contest.name}{when}"
