"""What a learner has practised: kept apart from calls, read for what to practise next."""
