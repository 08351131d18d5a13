"""The machine as one: records, case file, steady balance."""
