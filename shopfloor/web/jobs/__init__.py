"""The pages of jobs. Start with `jobs` (the list, and one job) or `floor` (the wall).

A drawing is taken in by `intake`, whose page is put together in `proposal_page`: `questions` asks about a wrong or missing
unit, colours and loose parts, `answers` writes the answers in the address, `findings` lists what was found, `families` the
shapes. A new drawing for a job goes through `revisions`, whose page is put together in `comparison`.
"""
