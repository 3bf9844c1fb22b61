"""Parts of requests and answers that several calculations share."""
