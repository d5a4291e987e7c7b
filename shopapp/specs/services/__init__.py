"""What people do with specifications, and how the shipped procedures come into the database."""
