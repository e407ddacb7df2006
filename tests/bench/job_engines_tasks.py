"""The tasks of `job_engines`, for either engine."""

import os
import time


def say(word):
    with open(os.environ["SAID"], "a") as file:
        file.write(f"{time.time():.3f} {os.getpid()} {word}\n")


def sleep(name, seconds, is_wanted=lambda: True):
    say(name)
    ends = time.time() + seconds
    while time.time() < ends:
        if not is_wanted():
            say("aborted")
            return
        time.sleep(0.05)


if os.environ["ENGINE"] == "procrastinate":
    from procrastinate.contrib.django import app
    from procrastinate.contrib.django.models import ProcrastinateJob

    @app.task(name="task", pass_context=True)
    def task(context, name, seconds):
        sleep(name, seconds, lambda: not context.should_abort())

    @app.periodic(cron="* * * * *")
    @app.task(name="stalled", queueing_lock="stalled")
    async def stalled(timestamp):
        """As its documentation has stalled jobs taken up again."""
        for job in await app.job_manager.get_stalled_jobs():
            await app.job_manager.retry_job(job)

    def order(name, seconds):
        return task.defer(name=name, seconds=seconds)

    def cancel(job):
        app.job_manager.cancel_job_by_id(job, abort=True)

    def left():
        return ProcrastinateJob.objects.filter(task_name="task", status__in=["todo", "doing"]).count()

else:
    from django_tasks import task as a_task
    from django_tasks_db.models import DBTaskResult

    @a_task()
    def task(name, seconds):
        sleep(name, seconds)

    cancel = None  # it has no way to

    def order(name, seconds):
        return task.enqueue(name=name, seconds=seconds).id

    def left():
        return DBTaskResult.objects.filter(status__in=["READY", "RUNNING"]).count()
