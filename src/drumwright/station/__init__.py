"""The machine as one: records, case file, steady balance, its control, the plant in time."""
