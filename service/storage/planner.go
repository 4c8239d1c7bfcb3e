// Package storage answers how to put one pack away: whether to charge it,
// discharge it or leave it, how far and for how long, and what it loses
// meanwhile.
//
// A discharge is worked out here and by package sim; a charge up to storage charge
// is a charge plan that ends by count.
package storage

import (
	"sync"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Planner makes storage plans. It is safe for concurrent use.
type Planner struct {
	cells      *cell.Table
	charge     Charger
	discharges *rule.Judge // what is asked of a discharge
	shelves    *rule.Judge // what is asked of a pack that is left
	every      *rule.Judge // for the limits that a trace names
	ids        spec.Identifier[Request]
	cautions   map[Action][]string
	hot        []string // cautions of a resistor
	aged       spec.Source
	scratch    sync.Pool
}

// Charger plans a charge up to storage charge, as charge.Planner does.
type Charger interface {
	ToStorage(q *charge.Request, explain bool) *charge.Plan
}

// scratch is working memory that a plan gives back.
type scratch struct {
	pieces  []sim.LowerPiece
	groups  [2][sim.MaxGroups]sim.Group // of the expected pack, and of a corner
	limits  []Limit
	parts   []part
	assumed []spec.Assumed
	hash    []byte
	pen     spec.Pen

	// What the rules are given must outlive their call as far as the compiler
	// knows; the rest of a plan in the making stays on the stack.
	facts   rule.Facts
	storing rule.Storing
}

// NewPlanner builds a Planner on the given chemistries, rules and planner of
// charges.
func NewPlanner(cells *cell.Table, rules []rule.Rule, c Charger) *Planner {
	p := &Planner{
		cells: cells, charge: c,
		discharges: rule.NewJudge(rule.WithoutCharging(rule.Of(rules, rule.PackAlone, rule.OnCharger, rule.AtThisPlace))),
		shelves:    rule.NewJudge(rule.Of(rules, rule.PackAlone)),
		every:      rule.NewJudge(rules),
		ids:        spec.NewIdentifier[Request](),
		cautions:   map[Action][]string{Charge: cautions(Charge), Discharge: cautions(Discharge), Leave: cautions(Leave)},
		hot:        resistorCautions(),
		aged:       cell.AgeingSource(),
	}
	p.scratch.New = func() any {
		return &scratch{
			pieces: make([]sim.LowerPiece, 0, 160), limits: make([]Limit, 0, 12), assumed: make([]spec.Assumed, 0, 20),
			hash: make([]byte, 0, 2048),
		}
	}
	return p
}

// Plan answers a request that has passed spec.Validator. It never fails: what
// must not be done is answered with verdict stop.
func (pl *Planner) Plan(q *Request) *Plan { return pl.plan(q, false) }

// Explain is Plan with Trace filled in; everything else is the same.
func (pl *Planner) Explain(q *Request) *Plan { return pl.plan(q, true) }

func (pl *Planner) plan(q *Request, explain bool) *Plan {
	s := pl.scratch.Get().(*scratch)
	made := &sheet{Plan: Plan{Versions: rule.Versions()}}
	w := work{q: q, s: s, pen: &s.pen, pl: pl, explaining: explain, plan: &made.Plan, sheet: made}
	s.facts = rule.Facts{
		Pack: &q.Pack, Charger: q.Charger, Surroundings: q.Surroundings, IdleDays: q.IdleDays, AsOf: q.AsOf,
		Chemistries: pl.cells, Chemistry: pl.cells.Get(q.Pack.Chemistry),
	}
	defer pl.give(&w)
	w.run()
	if explain {
		w.plan.Trace = w.explain()
	}
	w.plan.PlanID, s.hash = pl.ids.ID(q, &w.plan.Versions, s.hash)
	return w.plan
}

// give returns the working memory of a plan, emptied: it must not keep a request
// alive, nor show it to the next.
func (pl *Planner) give(w *work) {
	s := w.s
	clear(w.model.Assumed)
	clear(w.limits.list)
	s.facts, s.storing = rule.Facts{}, rule.Storing{}
	s.pen.Drop() // a plan that panicked may have left half a sentence
	pl.scratch.Put(s)
}
