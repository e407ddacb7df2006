"""Everything that is printed: what each document says, how it becomes a PDF, and the jobs that make them."""
