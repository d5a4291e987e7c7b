"""The owner's plain pages for master data: one list and one form for each thing the shop keeps."""
