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
	cells *cell.Table
	judge *rule.Judge
	ids   spec.Identifier[Request]
}

// NewEstimator builds an Estimator on the given chemistries and rules.
func NewEstimator(cells *cell.Table, rules []rule.Rule) *Estimator {
	return &Estimator{cells: cells, judge: rule.NewJudge(rule.Of(rules, rule.PackAlone, rule.AtRest)), ids: spec.NewIdentifier[Request]()}
}

// Estimate answers a request that has passed spec.Validator. It never fails.
func (e *Estimator) Estimate(q *Request) *Estimate { return e.estimate(q, false) }

// Explain is Estimate with Trace filled in; everything else is the same.
func (e *Estimator) Explain(q *Request) *Estimate { return e.estimate(q, true) }

func (e *Estimator) estimate(q *Request, explain bool) *Estimate {
	w := e.work(q)
	f := w.facts()
	a := &Estimate{Start: w.model.Start(), Cautions: cautions(), Versions: rule.Versions()}
	a.Findings, a.NotEvaluated = e.judge.Evaluate(f, true)
	a.Verdict = spec.VerdictOf(a.Findings)
	w.assemble(a)
	a.Assumed = w.model.Assumed
	a.PlanID, _ = e.ids.ID(q, &a.Versions, nil)
	if explain {
		a.Trace = w.explain(a, f, e.judge)
	}
	return a
}

// work is one estimate in the making.
type work struct {
	q     *Request
	c     *cell.Chemistry
	cells *cell.Table
	model cell.Model
	idle  float64       // days
	leak  cell.Estimate // self-discharge per second

	amps   [sim.MaxGroups]float64      // what all drains draw from each group
	unsafe int                         // the group that is unsafe first
	left   [sim.MaxGroups]float64      // charge of each group after the idle time
	ends   [sim.MaxGroups][levels]span // times to each level
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

func (e *Estimator) work(q *Request) *work {
	w := &work{q: q, c: e.cells.Get(q.Pack.Chemistry), cells: e.cells, idle: assumedIdleDays}
	// The surroundings are not asked about: self-discharge is known at room
	// temperature alone.
	w.model = cell.NewModel(w.c, &q.Pack, cell.Place{}, spec.FromAssumedLanded, make([]spec.Assumed, 0, 8))
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
	for i := range w.model.Groups {
		w.amps[i] = q.ampA(i)
		for level := range levels {
			if z, exists := w.level(level); exists {
				w.ends[i][level] = span{
					expected: w.rest(i, corner{}).Seconds(z) / day,
					low:      w.rest(i, soonest()).Seconds(z) / day,
					high:     w.rest(i, latest()).Seconds(z) / day,
				}
			}
		}
		w.left[i] = w.after(i)
		if w.unsafeIn(i).expected < w.unsafeIn(w.unsafe).expected {
			w.unsafe = i
		}
	}
	return w
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
		AmpA: w.amps[i], LeakPerS: w.leak.At(c.leak), Held: cell.LeakHeld(),
	}
}

// level is the state of charge at a level, and whether the chemistry has it.
func (w *work) level(level int) (z float64, exists bool) {
	if w.c.Curve == nil {
		return 0, level == empty
	}
	switch level {
	case storage:
		return w.c.Curve.Charge(w.c.StorageV.Value), true
	case safeStart:
		return w.c.Curve.Charge(w.c.SafeStartV.Value), true
	case floor:
		return w.c.Curve.Charge(w.c.FloorV.Value), true
	}
	return 0, true
}

// unsafeLevel is the level at which a cell is unsafe.
func (w *work) unsafeLevel() int {
	if w.c.Curve == nil {
		return empty
	}
	return safeStart
}

func (w *work) unsafeIn(i int) span { return w.ends[i][w.unsafeLevel()] }

// after is the charge of a group after the idle time: not below where the
// continued curve shows 0 V, nor below empty where there is no curve.
func (w *work) after(i int) float64 {
	dead := 0.0
	if w.c.Curve != nil {
		dead = w.c.Curve.Charge(0)
	}
	return max(w.rest(i, corner{}).After(w.idle*day), dead)
}
