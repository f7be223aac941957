"""Files on the disk: photos, and which rows name which files."""
