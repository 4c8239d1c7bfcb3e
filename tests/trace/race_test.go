//go:build race

package trace

// underRace: the evaluator has one goroutine, so the race detector has nothing to
// find in it, and would take minutes over what integrates and searches. The run
// without it recomputes everything.
const underRace = true
