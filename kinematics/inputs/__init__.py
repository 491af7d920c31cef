"""What a person writes: files read, checked and written."""
