"""`compare`: two specs, forms or finished folders."""
