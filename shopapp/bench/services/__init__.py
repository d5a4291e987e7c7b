"""What people do at the bench: record entries, close a job, release a stopped one."""

from shopapp.bench.services.entry_in import BackIn, EntryIn, LotIn, entry_key, read_entry
from shopapp.bench.services.recording import record_entry
from shopapp.bench.services.shift import take_note
from shopapp.bench.services.stopped import release_job

__all__ = [
    "BackIn",
    "EntryIn",
    "LotIn",
    "entry_key",
    "read_entry",
    "record_entry",
    "release_job",
    "take_note",
]
