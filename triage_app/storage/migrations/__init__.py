"""The steps that bring an older database to the present shape, one file each."""
