// Package runtime answers how long a pack runs a load: until a cell falls to the cut-off
// under load, the reserve is reached, or the pack is too hot.
package runtime

import (
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Estimator makes run-time estimates. It holds the chemistries and the rules,
// built once; it is safe for concurrent use.
type Estimator struct {
	cells    *cell.Table
	judge    *rule.Judge
	ids      spec.Identifier[Request]
	cautions map[bool][]string // by whether the pack is lithium
}

// NewEstimator builds an Estimator on the given chemistries and rules.
func NewEstimator(cells *cell.Table, rules []rule.Rule) *Estimator {
	return &Estimator{
		cells: cells, judge: rule.NewJudge(rule.WithoutCharging(rule.Of(rules, rule.PackAlone, rule.InUse))),
		ids:      spec.NewIdentifier[Request](),
		cautions: map[bool][]string{true: cautions(true), false: cautions(false)},
	}
}

// Estimate answers a request that has passed spec.Validator.
func (e *Estimator) Estimate(q *Request) *Estimate { return e.estimate(q, false) }

// Explain is Estimate with Trace filled in; everything else is the same.
func (e *Estimator) Explain(q *Request) *Estimate { return e.estimate(q, true) }

func (e *Estimator) estimate(q *Request, explain bool) *Estimate {
	w := work{q: q, out: &Estimate{Versions: rule.Versions()}}
	w.facts = rule.Facts{
		Pack: &q.Pack, AsOf: q.AsOf, Running: &w.running,
		Chemistries: e.cells, Chemistry: e.cells.Get(q.Pack.Chemistry),
	}
	w.run()
	w.out.Findings, w.out.NotEvaluated = e.judge.Evaluate(&w.facts, false)
	w.assemble()
	w.out.Cautions = e.cautions[q.Pack.Chemistry.Lithium()]
	if explain {
		w.out.Trace = w.explain(e.judge)
	}
	w.out.PlanID, _ = e.ids.ID(q, &w.out.Versions, nil)
	return w.out
}
