"""The lines of a sheet for so many minutes or for a stage: what each is worth, which to take, and in what order."""
