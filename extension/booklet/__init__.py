"""The printed pattern, part by part: what each page shows and says."""
