// Package runtime answers how long a pack runs a load: until a cell falls to the cut-off
// under load, the reserve is reached, or the pack is too hot.
package runtime

import (
	"sync"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Estimator makes run-time estimates. It holds the chemistries and the rules,
// built once; it is safe for concurrent use.
type Estimator struct {
	cells    *cell.Table
	judge    *rule.Judge
	ids      spec.Identifier[Request]
	cautions map[bool][]string // by whether the pack is lithium
	scratch  sync.Pool
}

// scratch is working memory that an estimate gives back.
type scratch struct {
	groups   [2][sim.MaxGroups]sim.DrawGroup // of the expected run, and of a corner
	segments []sim.LoadSegment
	assumed  []spec.Assumed
	hash     []byte

	// What the rules are given must outlive their call as far as the compiler
	// knows; the rest of an estimate in the making stays on the stack.
	facts   rule.Facts
	running rule.Running
}

// NewEstimator builds an Estimator on the given chemistries and rules.
func NewEstimator(cells *cell.Table, rules []rule.Rule) *Estimator {
	e := &Estimator{
		cells: cells, judge: rule.NewJudge(rule.WithoutCharging(rule.Of(rules, rule.PackAlone, rule.InUse))),
		ids:      spec.NewIdentifier[Request](),
		cautions: map[bool][]string{true: cautions(true), false: cautions(false)},
	}
	e.scratch.New = func() any {
		return &scratch{assumed: make([]spec.Assumed, 0, 12), hash: make([]byte, 0, 2048)}
	}
	return e
}

// Estimate answers a request that has passed spec.Validator.
func (e *Estimator) Estimate(q *Request) *Estimate { return e.estimate(q, false) }

// Explain is Estimate with Trace filled in; everything else is the same.
func (e *Estimator) Explain(q *Request) *Estimate { return e.estimate(q, true) }

func (e *Estimator) estimate(q *Request, explain bool) *Estimate {
	s := e.scratch.Get().(*scratch)
	w := work{q: q, s: s, out: &Estimate{Versions: rule.Versions()}, facts: &s.facts, running: &s.running}
	s.facts = rule.Facts{
		Pack: &q.Pack, AsOf: q.AsOf, Running: &s.running,
		Chemistries: e.cells, Chemistry: e.cells.Get(q.Pack.Chemistry),
	}
	defer e.give(&w)
	w.run()
	w.out.Findings, w.out.NotEvaluated = e.judge.Evaluate(w.facts, false)
	w.assemble()
	w.out.Cautions = e.cautions[q.Pack.Chemistry.Lithium()]
	if explain {
		kept := new(work) // what a trace keeps would bring the work of every estimate to the heap
		*kept = w
		w.out.Trace = kept.explain(e.judge)
	}
	w.out.PlanID, s.hash = e.ids.ID(q, &w.out.Versions, s.hash)
	return w.out
}

// give returns the working memory of an estimate, emptied: it must not keep a request
// alive, nor show it to the next.
func (e *Estimator) give(w *work) {
	clear(w.s.assumed[:cap(w.s.assumed)])
	w.s.facts, w.s.running = rule.Facts{}, rule.Running{}
	e.scratch.Put(w.s)
}
