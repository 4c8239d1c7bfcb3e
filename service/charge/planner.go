// Package charge answers how to charge one pack on one charger.
package charge

// Planner makes charge plans. It holds the chemistries and the rules, built
// once; it is safe for concurrent use.
type Planner struct{}

// NewPlanner builds a Planner.
func NewPlanner() *Planner { return &Planner{} }

// Plan answers a request that has passed spec.Validator. It never fails: what
// must not be done is answered with verdict stop.
func (p *Planner) Plan(q *Request) *Plan { return &Plan{} }
