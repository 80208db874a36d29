"""What scripts and spreadsheets give and are given: rounds as JSON and CSV, a finding as JSON."""
