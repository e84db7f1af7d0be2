"""Files in: teachers' spreadsheets as they really are, all or nothing, and undone while nothing rests on them."""
