"""What the pages share that need nothing but themselves: styles, scripts, and the policy that names them."""
