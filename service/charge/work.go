package charge

import (
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// work is one plan in the making.
type work struct {
	q    *Request
	s    *scratch
	pen  *spec.Pen
	plan *Plan

	facts    *rule.Facts
	pack     *spec.Pack // the pack, or what it and the others on a parallel board make together
	model    cell.Model
	limits   limits
	endCellV float64
	taperA   float64
	balanceA float64
	upToV    float64 // a rested cell voltage at which the charge is done, by count; 0 where it goes on to the end voltage
	upTo     float64 // the state of charge there

	span  span
	solve solved
}

func (w *work) run(judge *rule.Judge) {
	w.prepare()
	l := &w.limits
	w.limitHeat()
	if l.DeadlineMin > 0 {
		w.meetDeadline()
	}
	w.judgedCurrent()
	if l.current > 0 {
		w.compute()
	}
	l.ExpectedMin = w.span.expected / minute
	w.s.charging = l.Charging
	w.facts.Charging, w.facts.Planning = &w.s.charging, true
	w.plan.Findings, w.plan.NotEvaluated = judge.Evaluate(w.facts, false)
	w.plan.Verdict = spec.VerdictOf(w.plan.Findings)
	if l.current <= 0 && w.plan.Verdict != spec.VerdictStop {
		w.noCurrent()
	}
	w.plan.Start = w.model.Start()
	if w.plan.Verdict != spec.VerdictStop {
		w.assemble()
	}
	w.plan.Assumed = slices.Clone(w.model.Assumed)
}

// prepare builds the model, gathers the limits and picks the current from them,
// heat and deadline apart.
func (w *work) prepare() {
	q, c := w.q, w.facts.Chemistry
	pack := &q.Pack
	if q.Surroundings != nil && len(q.Surroundings.ParallelBoard) > 0 {
		pack = joined(pack, q.Surroundings.ParallelBoard, w.facts.Chemistries)
	}
	w.pack = pack
	w.model = cell.NewModel(c, pack, cell.Surroundings(q.Surroundings), spec.FromAssumedEmpty, w.s.assumed[:0])
	w.endCellV = c.FullV.Value
	if q.TargetCellVoltageV != nil {
		w.endCellV = *q.TargetCellVoltageV
		w.facts.EndCellV = &rule.Given{Value: w.endCellV, At: "/target_cell_voltage_v"}
	} else if e := w.facts.EndCellV; e != nil && e.Value < w.endCellV {
		w.endCellV = e.Value // what somebody means to set
	} else if e == nil && c.Curve != nil {
		w.facts.EndCellV = &rule.Given{Value: w.endCellV, At: "/pack/chemistry"}
	}
	if w.facts.ProgramChemistry == "" {
		w.facts.ProgramChemistry, w.facts.ProgramCells = pack.Chemistry, &pack.CellsSeries
	}
	f := *w.facts
	f.Pack = pack
	powerV := w.endCellV
	if c.Curve == nil {
		powerV = c.Fast.ChargeV.Value
	}
	w.limits.list = w.s.limits[:0]
	w.limits.gather(q, &w.model, &f, powerV, w.worn(), w.pen)
	w.avoidBlindBand()
	w.assumeCharger()
	if rule.DeeplyDischarged(&f) {
		w.limits.RecoveryA = c.RecoveryC.Value * w.limits.ah
	}
	w.limits.choose(w.pen)
	w.limits.UnseenHighV = w.unseenHigh()
}

// worn reports whether the pack, or any it is joined to, is worn out.
func (w *work) worn() bool {
	if rule.WornOut(w.facts) {
		return true
	}
	for _, p := range w.boardPacks() {
		if rule.WornOut(&rule.Facts{Pack: &p, Chemistries: w.facts.Chemistries, Chemistry: w.facts.Chemistries.Get(p.Chemistry)}) {
			return true
		}
	}
	return false
}

// assumeCharger lists what the charger's document left out.
func (w *work) assumeCharger() {
	c, q := &w.q.Charger, w.q
	assume := func(field string, value any, why string) {
		w.model.Assumed = append(w.model.Assumed, spec.Assumed{Field: field, Value: value, Why: why, Source: spec.Practice(why)})
	}
	if g := q.Goal; g == nil || g.Pace == "" && g.CurrentA == nil && g.ReadyInMin == nil {
		assume("/goal/pace", string(spec.Everyday), "1 C is the everyday pace")
	}
	if c.ChargeCurrentStepA == nil && !w.limits.fixed {
		assume("/charger/charge_current_step_a", assumedStepA, "hobby chargers are set in tenths of an ampere")
	}
	if c.MinChargeCurrentA == nil {
		assume("/charger/min_charge_current_a", spec.Round9(w.limits.SmallestA), "the smallest step is the smallest current")
	}
	if c.Supply == nil || c.Supply.EfficiencyPercent == nil {
		assume("/charger/supply/efficiency_percent", assumedEfficiency*100, "about 85 % of a supply's power reaches the pack")
	}
	if !q.Pack.Chemistry.Lithium() {
		return
	}
	taper := 0.1
	if q.TaperCRate != nil {
		taper = *q.TaperCRate
	} else {
		assume("/taper_c_rate", taper, "a charge ends at a tenth of 1 C")
	}
	w.taperA = taper * w.limits.ah
	if c.Balance != spec.BalanceNone && q.Pack.CellsSeries > 1 {
		w.balanceA = 0.2
		if c.BalanceCurrentA != nil {
			w.balanceA = *c.BalanceCurrentA
		} else {
			assume("/charger/balance_current_a", w.balanceA, "small hobby chargers bleed about 0.2 A")
		}
	}
}

// judgedCurrent hands the rules the current to judge: the one asked for, else
// the one that was picked, else the charger's smallest.
func (w *work) judgedCurrent() {
	g := &rule.Given{Value: w.limits.current, At: "/charger"}
	if w.q.Goal != nil && w.q.Goal.CurrentA != nil {
		g.Value, g.At, g.Asked = *w.q.Goal.CurrentA, "/goal/current_a", true
	} else if w.limits.current <= 0 {
		g.Value, g.At = w.limits.SmallestA, "/charger/min_charge_current_a"
	}
	w.facts.Current = g
}

// noCurrent stops a plan for which no current was found although no rule says
// why. No request gets here while the rules are sound; when in doubt the answer
// is stop.
func (w *work) noCurrent() {
	w.plan.Verdict = spec.VerdictStop
	w.plan.Findings = append([]spec.Finding{{
		Rule: "internal-fault", Severity: spec.Stop, At: []string{"/charger"},
		Message: "no current that the charger can be set to meets every limit, and no rule says why; this is a fault of the service, and it stops to be safe",
		Remedy:  "do not charge on this answer; report the request",
		Source:  spec.Source{Kind: spec.Derived, Title: "the least of every limit against the charger's smallest current"},
	}}, w.plan.Findings...)
}

// program is what the charger will do at a current.
func (w *work) program(current float64) sim.Program {
	c := w.facts.Chemistry
	p := sim.Program{
		CurrentA: current, PowerW: w.limits.powerW(), EndV: w.endCellV, TaperA: min(w.taperA, current),
		BalanceA: w.balanceA, ToleranceV: c.ToleranceV.Value,
	}
	if current*w.limits.endPackV <= p.PowerW*(1+1e-9) {
		p.PowerW = math.Inf(1) // never reached: the setting is below it up to the end voltage
	}
	if w.limits.RecoveryA > 0 {
		p.RecoveryV = c.SafeStartV.Value
		p.RecoveryA = min(w.limits.snap(w.limits.RecoveryA), current)
		if p.RecoveryA <= 0 {
			p.RecoveryA = min(w.limits.RecoveryA, current)
		}
	}
	return p
}

// unseenHigh is where the highest cell would end on a charger that does not see
// single cells, or 0 where it does or there is nothing to see.
func (w *work) unseenHigh() float64 {
	if w.q.Charger.Balance != spec.BalanceNone || w.facts.Chemistry.Curve == nil || w.model.From != spec.FromCellVoltages || w.q.Pack.CellsSeries < 2 {
		return 0
	}
	groups, _ := w.groups(corner{})
	return sim.SumHeld(w.facts.Chemistry.Curve, groups, w.endCellV, w.taperA)
}
