"""Changes of a job by an owner: its customer, title and due date."""

from __future__ import annotations

from datetime import date

from ..domain.drawing.signs import Order, checked
from ..store import jobs
from ..wording import jobs as wording
from ..wording.message import joined
from .unit_of_work import Answer, Transaction, command, shop_day


@command("changed a job", "owner")
def change_job(
    transaction: Transaction, job_number: str, customer: str, title: str, due: str
) -> Answer:
    """Change a job's customer, title and due date (ISO). Raises Refused where one is wrong, NotFound."""
    job = jobs.job_by_number(transaction.db, job_number)
    order = checked(Order(customer, title, due), ())
    new = (order.customer, order.title, order.due)
    if new == (job.customer, job.title, job.due):
        return Answer(wording.unchanged(job.number))
    jobs.change_job(transaction.db, job.id, *new)
    due_on = date.fromisoformat(order.due)
    changed = wording.changed(job.number, order.customer, order.title, due_on, due_on.year)
    is_past = due_on < shop_day(transaction.db, transaction.now)
    message = joined([changed, wording.day_is_past() if is_past else None])
    return Answer(message, data={"job": job.number})
