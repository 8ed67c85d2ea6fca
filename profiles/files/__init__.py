"""Reading, locating, editing, converting and saving the files of a library."""
