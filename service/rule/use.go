package rule

// useRules judge what a load asks of the pack.
func useRules() []Rule { return nil }
