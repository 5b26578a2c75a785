"""What an owner changes about a job that is taken in: whose it is, what it is called, when it is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ..domain.drawing.signs import Order, checked
from ..store import jobs
from .unit_of_work import Answer, Transaction, command, shop_day


@dataclass(frozen=True)
class JobChanged:
    """A job is called otherwise, or is due on another day."""

    job: str
    customer: str
    title: str
    due: str


@command("changed a job", "owner")
def change_job(
    transaction: Transaction, job_number: str, customer: str, title: str, due: str
) -> Answer:
    """A job's customer, title and due date (ISO). Raises Refused for what is wrong in them, NotFound."""
    job = jobs.job_by_number(transaction.db, job_number)
    order = checked(Order(customer, title, due), ())
    new = (order.customer, order.title, order.due)
    if new == (job.customer, job.title, job.due):
        return Answer(f"{job.number} is as it was.")
    jobs.change_job(transaction.db, job.id, *new)
    transaction.record(JobChanged(job.number, *new))
    sentence = f"{job.number} is now: {order.customer}, {order.title}, due {_day(order.due)}."
    today = shop_day(transaction.db, transaction.now)
    if order.due < today.isoformat():
        sentence += " That day is past."
    return Answer(sentence, data={"job": job.number})


def _day(due: str) -> str:
    """'Fri 20 Nov 2026'"""
    day = date.fromisoformat(due)
    return f"{day:%a} {day.day} {day:%b %Y}"
