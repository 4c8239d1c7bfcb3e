// Package charge answers how to charge one pack on one charger: whether at
// all, at what current, to what voltage, for how long.
//
// A request becomes a model in SI units (package cell), the limits on the
// current pick a setting, package sim computes the charge as expected and at the
// ends of what is uncertain, the rules judge documents
// and results together, and the answer is assembled and rounded once.
package charge

import (
	"sync"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Planner makes charge plans. It holds the chemistries and the rules, built
// once; it is safe for concurrent use.
type Planner struct {
	cells    *cell.Table
	judge    *rule.Judge
	ids      spec.Identifier[Request]
	cautions map[bool][]string // by whether the pack is lithium
	scratch  sync.Pool
}

// scratch is working memory that a plan gives back.
type scratch struct {
	pieces  []sim.Piece
	groups  [2][sim.MaxGroups]sim.Group // of the expected charge, and of a corner
	limits  []Limit
	assumed []spec.Assumed
	hash    []byte
	pen     spec.Pen

	// What the rules are given must outlive their call as far as the compiler
	// knows; the rest of a plan in the making stays on the stack.
	facts    rule.Facts
	charging rule.Charging
}

// NewPlanner builds a Planner on the given chemistries and rules.
func NewPlanner(cells *cell.Table, rules []rule.Rule) *Planner {
	p := &Planner{
		cells: cells, judge: rule.NewJudge(rule.Of(rules, rule.PackAlone, rule.OnCharger, rule.AtThisPlace)),
		ids:      spec.NewIdentifier[Request](),
		cautions: map[bool][]string{true: cautions(true), false: cautions(false)},
	}
	p.scratch.New = func() any {
		return &scratch{
			pieces: make([]sim.Piece, 0, 64), limits: make([]Limit, 0, 16), assumed: make([]spec.Assumed, 0, 20),
			hash: make([]byte, 0, 2048),
		}
	}
	return p
}

// Plan answers a request that has passed spec.Validator. It never fails: what
// must not be done is answered with verdict stop.
func (pl *Planner) Plan(q *Request) *Plan { return pl.plan(q, 0, false) }

// Explain is Plan with Trace filled in; everything else is the same.
func (pl *Planner) Explain(q *Request) *Plan { return pl.plan(q, 0, true) }

// ToStorage is a plan that ends when the first cell holds what it holds at rest at
// storage charge, by the charger's count of the charge: a lithium pack is charged
// so before it is put away. With explain, Trace is filled in. The plan has no
// PlanID: it is part of another answer.
func (pl *Planner) ToStorage(q *Request, explain bool) *Plan {
	return pl.plan(q, pl.cells.Get(q.Pack.Chemistry).StorageV.Value, explain)
}

func (pl *Planner) plan(q *Request, upToV float64, explain bool) *Plan {
	s := pl.scratch.Get().(*scratch)
	w := work{q: q, s: s, pen: &s.pen, plan: &Plan{Versions: rule.Versions()}, facts: &s.facts}
	s.facts = rule.Facts{
		Pack: &q.Pack, Charger: &q.Charger, Surroundings: q.Surroundings, AsOf: q.AsOf,
		Chemistries: pl.cells, Chemistry: pl.cells.Get(q.Pack.Chemistry),
	}
	if upToV > 0 {
		w.upToV, w.upTo = upToV, w.facts.Chemistry.Curve.Charge(upToV)
	}
	defer pl.give(&w)
	w.run(pl.judge)
	if explain {
		kept := new(work) // what a trace keeps would bring the work of every plan to the heap
		*kept = w
		w.plan.Trace = kept.explain(pl.judge)
	}
	w.plan.Cautions = pl.cautions[q.Pack.Chemistry.Lithium()]
	if upToV == 0 {
		w.plan.PlanID, s.hash = pl.ids.ID(q, &w.plan.Versions, s.hash)
	}
	return w.plan
}

// give returns the working memory of a plan, emptied: it must not keep a request
// alive, nor show it to the next.
func (pl *Planner) give(w *work) {
	clear(w.model.Assumed)
	clear(w.limits.list)
	w.s.facts, w.s.charging = rule.Facts{}, rule.Charging{}
	w.pen.Drop()
	pl.scratch.Put(w.s)
}

// Judge is the part of a plan that the rules say: what is found for a pack on
// a charger with the settings somebody intends, and what could not be judged.
func (pl *Planner) Judge(f rule.Facts, idle bool) ([]spec.Finding, []spec.NotEvaluated) {
	f.Chemistries, f.Chemistry = pl.cells, pl.cells.Get(f.Pack.Chemistry)
	if f.Charger != nil {
		s := pl.scratch.Get().(*scratch)
		q := &Request{Pack: *f.Pack, Charger: *f.Charger, Surroundings: f.Surroundings, AsOf: f.AsOf}
		if f.Current != nil {
			q.Goal = &spec.Goal{CurrentA: &f.Current.Value}
		}
		s.facts = f
		w := work{q: q, s: s, pen: &s.pen, plan: &Plan{}, facts: &s.facts}
		defer pl.give(&w)
		w.prepare()
		charging := w.limits.Charging
		f.Charging = &charging
	}
	return pl.judge.Evaluate(&f, idle)
}
