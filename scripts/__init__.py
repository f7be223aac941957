"""What stands around the application: setting up, testing, vendoring. Never imported by regrind."""
