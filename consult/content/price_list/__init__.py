"""A maker's price list as a table (CSV): read into a range file, and written from one."""
