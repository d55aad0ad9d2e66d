"""Where the back gauge touches a sheet, and what of it lies past that stop."""
