package storage

import (
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

const (
	minute, wattHour, milliampHour = 60.0, 3600.0, 3.6

	assumedIdleDays = 90.0 // the interval at which stored packs are looked at
	weekDays        = 7.0
	longHours       = 3.0
)

// sheet is a plan with the optional parts that nearly every plan has, so that they
// cost one allocation together.
type sheet struct {
	Plan

	targetV, charge float64
	ageing          Ageing
}

// put lets an optional field point to its place on a sheet, and rounds.
func put(field **float64, at *float64, x float64) { *at = spec.Round9(x); *field = at }

// work is one plan in the making.
type work struct {
	q          *Request
	s          *scratch
	pen        *spec.Pen
	pl         *Planner
	plan       *Plan
	sheet      *sheet // that the plan is on
	explaining bool

	chem  *cell.Chemistry
	model cell.Model
	days  float64
	band  band

	limits  limits
	span    span
	lowered sim.Lowering
	charged *charge.Plan // where the action is charge and there is a charger
	shown   shown
}

func (w *work) run() {
	w.chem = w.s.facts.Chemistry
	w.model = cell.NewModel(w.chem, &w.q.Pack, cell.Surroundings(w.q.Surroundings), spec.FromAssumedAny, w.s.assumed[:0])
	w.assume()
	w.band = bandOf(w.chem)
	w.decide()
	p := w.plan
	p.Start = w.model.Start()
	if w.chem.Curve != nil {
		put(&p.TargetCellVoltageV, &w.sheet.targetV, w.chem.StorageV.Value)
	}
	p.TargetChargePercent = spec.Round9(w.band.target * 100)
	p.LeaveFromPercent, p.LeaveToPercent = spec.Round9(w.band.from*100), spec.Round9(w.band.to*100)
	switch {
	case p.Action == Charge && w.q.Charger != nil:
		w.chargeUp()
	case p.Action == Discharge:
		w.discharge()
	default:
		w.leave()
	}
	w.ageing()
	if p.Verdict != spec.VerdictStop {
		p.Steps = w.steps()
	}
	p.Cautions = w.pl.cautions[p.Action]
	if w.charged == nil {
		p.Assumed = slices.Clone(w.model.Assumed)
	}
}

// assume lists what the request left out beside the pack and the charger.
func (w *work) assume() {
	w.days = assumedIdleDays
	if d := w.q.IdleDays; d != nil {
		w.days = *d
		return
	}
	w.model.Assumed = append(w.model.Assumed, w.idleAssumed())
}

func (w *work) idleAssumed() spec.Assumed {
	return spec.Assumed{Field: "/idle_days", Value: assumedIdleDays, Why: "three months: stored packs are looked at that often", Source: healthAdvice("check them every 3 months")}
}

// judge lets the rules look at the plan, and hands on what they find.
func (w *work) judge(j *rule.Judge, idle bool) {
	w.s.facts.Storing = &w.s.storing
	w.plan.Findings, w.plan.NotEvaluated = j.Evaluate(&w.s.facts, idle)
	w.plan.Verdict = spec.VerdictOf(w.plan.Findings)
}

// leave is a pack that is not connected to anything, and one that would be charged
// had the request a charger.
func (w *work) leave() {
	w.judge(w.pl.shelves, w.plan.Action == Leave)
	if w.plan.Action == Charge && w.plan.Verdict != spec.VerdictStop {
		put(&w.plan.ChargeMAh, &w.sheet.charge, w.upC()/milliampHour)
	}
}

// upC is the charge that takes the highest cell up to storage charge.
func (w *work) upC() float64 {
	return max(0, (w.band.target-w.extreme(highest))*w.model.Coulomb.Expected)
}

// groups lists the pack's groups with one value of each range, alike ones
// together; ohm is a common factor of the resistances. The expected list, corner
// false, and that of a corner lie in scratch memory of their own.
func (w *work) groups(corner bool, coulomb, start cell.Pick, ohm float64) []sim.Group {
	slot := 0
	if corner {
		slot = 1
	}
	list := w.s.groups[slot][:0]
next:
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		z, r := g.Charge.At(start), g.Ohm.Expected*ohm
		for j := range list {
			if list[j].Charge == z && list[j].Ohm == r {
				list[j].Count++
				continue next
			}
		}
		list = append(list, sim.Group{Count: 1, Coulomb: w.model.Coulomb.At(coulomb), Charge: z, Ohm: r})
	}
	return list
}

// downC is the charge that takes the lowest of some groups down to storage charge.
func (w *work) downC(groups []sim.Group) float64 {
	lowest := 1.0
	for i := range groups {
		lowest = min(lowest, groups[i].Charge)
	}
	return max(0, (lowest-w.band.target)*groups[0].Coulomb)
}
