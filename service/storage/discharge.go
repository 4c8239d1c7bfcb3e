package storage

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// span is the time of a discharge as a range, in seconds, and what widens it.
type span struct {
	expected, low, high           float64
	full                          float64 // with the capacity and the start at their most, the resistance as expected
	byStart, byCapacity, byResist float64 // how much each alone could lengthen it
	highC                         float64 // charge that may have to pass, in coulombs
	undoneC                       float64 // what is left by a charger that stops under load
	bleedA, bleedTo               float64
}

// discharge plans a pack that comes down, on the charger or without it.
func (w *work) discharge() {
	groups := w.groups(false, cell.Expected, cell.Expected, 1)
	down := w.downC(groups)
	w.limits.gather(w, groups)
	l := &w.limits
	switch {
	case l.noWay == "":
		w.onCharger(groups, down)
	case down <= 0: // only high cells could be bled, and this charger cannot
		w.plan.Action, w.plan.Because = Leave, apartHigh
		w.leave()
		return
	}
	w.s.storing = rule.Storing{NoWay: l.noWay, At: l.at}
	w.s.facts.ProgramCells = &w.q.Pack.CellsSeries
	w.judge(w.pl.discharges, false)
	if w.plan.Verdict == spec.VerdictStop {
		return
	}
	put(&w.plan.ChargeMAh, &w.sheet.charge, down/milliampHour)
	if l.noWay == "" {
		w.assemble(down)
	}
	w.alternatives(groups, down)
}

// sink is the charger, set as planned.
func (w *work) sink(coulombs float64) sim.Sink {
	return sim.Sink{Coulombs: coulombs, CurrentA: w.limits.current, PowerW: w.limits.powerW, BleedA: w.span.bleedA, BleedTo: w.span.bleedTo}
}

// onCharger works out the expected discharge and its range.
//
// The time rises with the capacity and with what the pack holds at the start. It
// falls with the resistance: the charger takes its power at the pack's terminals, and
// the more is lost inside, the more current that takes. So the ends of the range
// are the discharges at the corners.
func (w *work) onCharger(groups []sim.Group, down float64) {
	s := &w.span
	w.setBleeding()
	w.lowered = sim.Lower(w.chem.Curve, groups, w.sink(down), w.s.pieces)
	w.s.pieces = w.lowered.Pieces[:0]
	d := &w.lowered
	low, high := w.model.OhmRange()
	brief := func(coulomb, start cell.Pick, ohm float64) sim.Lowering {
		g := w.groups(true, coulomb, start, ohm)
		k := w.sink(w.downC(g))
		k.Brief = true
		return sim.Lower(w.chem.Curve, g, k, nil)
	}
	short := brief(cell.Low, cell.Low, high)
	long := brief(cell.High, cell.High, low)
	grow := w.model.Coulomb.High / w.model.Coulomb.Expected
	full := long
	if w.powered() {
		full = brief(cell.High, cell.High, 1)
	}
	s.expected, s.full = d.Seconds, full.Seconds
	s.low, s.high = min(short.MainSeconds(), d.Seconds), max(long.Seconds, d.Seconds)
	s.highC = max(long.Coulombs, d.Coulombs)
	s.byCapacity = d.Seconds * (grow - 1)
	s.byStart = max(0, full.Seconds/grow-d.Seconds)
	s.byResist = max(0, long.Seconds-full.Seconds)
	s.undoneC = down - d.ChargeAtVoltage(float64(len(w.model.Groups))*w.chem.StorageV.Value)
}

// powered says whether the charger's power may hold the current back on the way.
func (w *work) powered() bool { return !math.IsInf(w.limits.powerW, 1) }

// setBleeding finds what the charger bleeds from cells that stay high: down to
// storage charge within what counts as balanced.
func (w *work) setBleeding() {
	s := &w.span
	if !w.bleeds() {
		return
	}
	s.bleedA = assumedBleedA
	if a := w.q.Charger.BalanceCurrentA; a != nil {
		s.bleedA = *a
	} else {
		w.model.Assumed = append(w.model.Assumed, spec.Assumed{Field: "/charger/balance_current_a", Value: assumedBleedA, Why: "small hobby chargers bleed about 0.2 A", Source: spec.Practice("small hobby chargers bleed about 0.2 A")})
	}
	s.bleedTo = w.bledTo()
}

// stepAssumed lists the charger's step where it was left out.
func (w *work) stepAssumed() {
	if w.q.Charger.ChargeCurrentStepA == nil {
		w.model.Assumed = append(w.model.Assumed, spec.Assumed{Field: "/charger/charge_current_step_a", Value: assumedStepA, Why: "hobby chargers are set in tenths of an ampere", Source: spec.Practice("hobby chargers are set in tenths of an ampere")})
	}
}
