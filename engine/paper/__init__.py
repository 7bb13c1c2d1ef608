"""What a pen wrote on a sheet: its lines, answers, counts and values, read as the kb's own or listed as not understood."""
