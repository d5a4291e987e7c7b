"""What the bench subject registers: its books, and the rebuild report as a kind of paper."""

from shopapp.bench import report
from shopapp.bench.books import JOBS, WAITS, job_differences, wait_differences
from shopapp.shop import books

books.register(JOBS, job_differences)
books.register(WAITS, wait_differences)
report.register()
