"""What a page shows of each answer, in the words and tables of the sheet."""
