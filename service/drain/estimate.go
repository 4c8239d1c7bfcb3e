// Package drain answers how long a pack may be left with something connected: an
// alarm, a meter, a receiver, or only its own self-discharge.
//
// Each series group loses charge by the currents of all drains that take it and
// by itself; package sim says when it is down to a level, and what it holds after
// a time. The ends of the range are further exact solutions: least capacity,
// emptiest start and most self-discharge together give the shortest time.
package drain

import (
	"slices"
	"sync"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	day          = 86400.0 // seconds
	milliampHour = 3.6     // coulombs

	assumedIdleDays = 30.0
)

// Estimator makes estimates. It holds the chemistries and the rules, built once;
// it is safe for concurrent use.
type Estimator struct {
	cells    *cell.Table
	judge    *rule.Judge
	ids      spec.Identifier[Request]
	cautions []string
	scratch  sync.Pool
}

// scratch is working memory that an estimate gives back.
type scratch struct {
	groups  [sim.MaxGroups]group
	assumed []spec.Assumed
	hash    []byte

	// What the rules are given must outlive their call as far as the compiler
	// knows; the rest of an estimate in the making stays on the stack.
	facts    rule.Facts
	draining rule.Draining
}

// NewEstimator builds an Estimator on the given chemistries and rules.
func NewEstimator(cells *cell.Table, rules []rule.Rule) *Estimator {
	e := &Estimator{
		cells: cells, judge: rule.NewJudge(rule.Of(rules, rule.PackAlone, rule.AtRest)),
		ids: spec.NewIdentifier[Request](), cautions: cautions(),
	}
	e.scratch.New = func() any {
		return &scratch{assumed: make([]spec.Assumed, 0, 8), hash: make([]byte, 0, 2048)}
	}
	return e
}

// Estimate answers a request that has passed spec.Validator. It never fails.
func (e *Estimator) Estimate(q *Request) *Estimate { return e.estimate(q, false) }

// Explain is Estimate with Trace filled in; everything else is the same.
func (e *Estimator) Explain(q *Request) *Estimate { return e.estimate(q, true) }

func (e *Estimator) estimate(q *Request, explain bool) *Estimate {
	s := e.scratch.Get().(*scratch)
	w := work{q: q, s: s, c: e.cells.Get(q.Pack.Chemistry), cells: e.cells, idle: assumedIdleDays}
	defer e.give(&w)
	w.run()
	w.state()
	made := &sheet{Estimate: Estimate{Start: w.model.Start(), Cautions: e.cautions, Versions: rule.Versions()}}
	a := &made.Estimate
	a.Findings, a.NotEvaluated = e.judge.Evaluate(&s.facts, true)
	a.Verdict = spec.VerdictOf(a.Findings)
	w.assemble(made)
	a.Assumed = slices.Clone(w.model.Assumed)
	a.PlanID, s.hash = e.ids.ID(q, &a.Versions, s.hash)
	if explain {
		kept := new(work) // what a trace keeps would bring the work of every estimate to the heap
		*kept = w
		a.Trace = kept.explain(a, e.judge)
	}
	return a
}

// give returns the working memory of an estimate, emptied: it must not keep a
// request alive, nor show it to the next.
func (e *Estimator) give(w *work) {
	clear(w.model.Assumed)
	w.s.facts, w.s.draining = rule.Facts{}, rule.Draining{}
	e.scratch.Put(w.s)
}

// work is one estimate in the making.
type work struct {
	q     *Request
	s     *scratch
	c     *cell.Chemistry
	cells *cell.Table
	model cell.Model
	idle  float64       // days
	leak  cell.Estimate // self-discharge per second

	levels [levels]float64 // state of charge at each level
	groups []group
	unsafe int // the group that is unsafe first
}

// group is what becomes of one series group.
type group struct {
	amp  float64      // what all drains draw from it
	left float64      // its charge after the idle time
	volt float64      // its rested voltage then; 0 for nimh
	ends [levels]span // times to each level
}

// The levels a group goes down through, of which nimh has empty alone.
const (
	storage = iota
	safeStart
	empty
	floor
	levels
)

// span is a time in days: expected, shortest and longest.
type span struct{ expected, low, high float64 }

func (w *work) run() {
	q := w.q
	// The surroundings are not asked about: self-discharge is known at room
	// temperature alone.
	w.model = cell.NewModel(w.c, &q.Pack, cell.Place{}, spec.FromAssumedLanded, w.s.assumed[:0])
	daily := w.c.Leak.PerDay()
	w.leak = cell.Estimate{Low: daily.Low / day, Expected: daily.Expected / day, High: daily.High / day}
	w.model.Assumed = slices.DeleteFunc(w.model.Assumed, irrelevant)
	if q.IdleDays != nil {
		w.idle = *q.IdleDays
	} else {
		w.model.Assumed = append(w.model.Assumed, spec.Assumed{
			Field: "/idle_days", Value: assumedIdleDays, Why: "packs at rest are looked at once a month", Source: spec.Practice("packs at rest are looked at once a month"),
		})
	}
	w.setLevels()
	w.groups = w.s.groups[:len(w.model.Groups)]
	for i := range w.groups {
		w.fall(i)
		if w.unsafeIn(i).expected < w.unsafeIn(w.unsafe).expected {
			w.unsafe = i
		}
	}
}

// fall works out one group.
func (w *work) fall(i int) {
	g := &w.groups[i]
	*g = group{amp: w.q.ampA(i)}
	expected, soon, late := w.rest(i, corner{}), w.rest(i, soonest()), w.rest(i, latest())
	for level := range levels {
		if w.exists(level) {
			z := w.levels[level]
			g.ends[level] = span{expected: expected.Seconds(z) / day, low: soon.Seconds(z) / day, high: late.Seconds(z) / day}
		}
	}
	// Not below where the continued curve shows 0 V, nor below empty where there
	// is no curve.
	dead := 0.0
	if w.c.Curve != nil {
		dead = w.c.Curve.Charge(0)
	}
	g.left = max(expected.After(w.idle*day), dead)
	if w.c.Curve != nil {
		g.volt = max(w.c.Curve.Voltage(g.left), 0) // a dead cell, but for rounding
	}
}

// irrelevant marks an assumption that nothing here rests on.
func irrelevant(a spec.Assumed) bool {
	switch a.Field {
	case "/pack/charge_percent", "/pack/measured_capacity_mah":
		return false
	}
	return true
}

// corner says which value of each range to reckon with.
type corner struct{ coulomb, charge, leak cell.Pick }

// soonest and latest are the corners at which a group is down first and last.
func soonest() corner { return corner{cell.Low, cell.Low, cell.High} }

func latest() corner { return corner{cell.High, cell.High, cell.Low} }

// rest is one group at rest, at a corner of what is not known.
func (w *work) rest(i int, c corner) sim.Rest {
	return sim.Rest{
		Charge: w.model.Groups[i].Charge.At(c.charge), Coulomb: w.model.Coulomb.At(c.coulomb),
		AmpA: w.groups[i].amp, LeakPerS: w.leak.At(c.leak), Held: cell.LeakHeld(),
	}
}

// setLevels finds the state of charge at each level.
func (w *work) setLevels() {
	if curve := w.c.Curve; curve != nil {
		w.levels[storage] = curve.Charge(w.c.StorageV.Value)
		w.levels[safeStart] = curve.Charge(w.c.SafeStartV.Value)
		w.levels[floor] = curve.Charge(w.c.FloorV.Value)
	}
}

// exists says whether the chemistry has a level.
func (w *work) exists(level int) bool { return level == empty || w.c.Curve != nil }

// unsafeLevel is the level at which a cell is unsafe.
func (w *work) unsafeLevel() int {
	if w.c.Curve == nil {
		return empty
	}
	return safeStart
}

func (w *work) unsafeIn(i int) span { return w.groups[i].ends[w.unsafeLevel()] }
