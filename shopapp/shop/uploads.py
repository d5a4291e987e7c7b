"""Take no file that is too large: the rest of it is read and thrown away, and the request knows it."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadhandler import FileUploadHandler, SkipFile

MOST_BYTES = 20 * 1024 * 1024


class LimitedUpload(FileUploadHandler):
    """Pass a file on piece by piece until it passes 20 MB; then skip it and mark the request `upload_too_large`."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Pass a piece on, or skip the file."""
        if start + len(raw_data) > MOST_BYTES:
            self.request.upload_too_large = True  # type: ignore[union-attr]
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> Any:
        """Leave the file to the handlers after this one."""
        return None
