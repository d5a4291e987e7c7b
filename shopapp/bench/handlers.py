"""What the bench subject registers: its books, and the rebuild report as a kind of paper."""

from shopapp.bench import order_report, report, tag
from shopapp.bench.books import JOBS, WAITS, job_differences, wait_differences
from shopapp.bench.books_findings import FINDINGS, finding_differences
from shopapp.bench.books_parts import PARTS, part_differences
from shopapp.bench.books_pictures import PICTURES, named, picture_differences
from shopapp.bench.queries import waiting
from shopapp.bench.queries.findings import yes_wanted
from shopapp.bench.queries.tools_out import wanted_tools
from shopapp.papers import orphans
from shopapp.shop import books

books.register(JOBS, job_differences)
books.register(WAITS, wait_differences)
books.register(FINDINGS, finding_differences)
books.register(PARTS, part_differences)
books.register(PICTURES, picture_differences)
orphans.register(PICTURES, named)
waiting.register(yes_wanted)
waiting.register(wanted_tools)
report.register()
order_report.register()
tag.register()
