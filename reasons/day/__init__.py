"""The day of the reasons: the timetable, the rooms, the waiting hall, the class notes and how fair it was."""
