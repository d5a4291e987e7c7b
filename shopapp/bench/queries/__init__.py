"""What the bench reads: a sheet with its steps and records, the sheet document, who works on what."""
