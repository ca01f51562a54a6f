"""Every change of what is on record is found, and named; what cannot be found is shown as well."""
