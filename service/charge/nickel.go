package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// nickel is a nimh charge: by time and charge, at one current.
//
// What goes in for each charge stored is 1.05 at a fast rate and 1.6 at the
// standard rate (their sources stand in package cell); between the two it is
// taken as linear in the logarithm of the rate.
type nickel struct {
	input  float64 // charge in for each charge stored
	byDrop bool    // the voltage drop ends it, not the clock
	energy float64 // joules into the pack
	stored float64
}

// surelyEarlier is the share of its least time at which the voltage drop may
// already end a nimh charge (common practice: some 5 % before it is full).
const surelyEarlier = 0.95

// heldAh is what a nimh pack is taken to hold, in amp hours: its rated capacity,
// or less where less was measured. The clock and the charge cut-off go by it.
func (w *work) heldAh() float64 { return min(w.model.RatedC, w.model.Coulomb.Expected) / 3600 }

// nickelA is the current that flows: the one set, or less where the charger's or
// the supply's power holds it back.
func (w *work) nickelA() float64 {
	return min(w.limits.current, w.limits.powerW()/w.limits.endPackV)
}

// computeNickel finds the one phase of a nimh charge and its range.
func (w *work) computeNickel() {
	n, m, current := w.nickel(), &w.model, w.nickelA()
	z, held := m.Groups[0].Charge, w.heldAh()*3600
	time := func(coulomb, charge float64) float64 { return coulomb * (1 - charge) * n.input / current }
	// The charge cut-off ends the charge at the latest, whatever the pack holds.
	latest := time(held, z.Low)
	t := min(time(m.Coulomb.Expected, z.Expected), latest)
	if n.byDrop {
		w.span = span{expected: t, low: min(time(m.Coulomb.Low, z.High)*surelyEarlier, t), high: max(latest, t)}
		w.span.byCapacity = latest - min(latest, time(m.Coulomb.Low, z.Low))
		w.span.byStart = time(m.Coulomb.Expected, z.Low) - time(m.Coulomb.Expected, z.High)
	} else {
		// The clock ends it, so there is nothing uncertain about when.
		t = time(held, z.Expected)
		w.span = span{expected: t, low: t, high: t}
	}
	coulombs := current * t
	cells := float64(len(m.Groups))
	n.energy = coulombs * w.facts.Chemistry.Fast.ChargeV.Value * cells
	n.stored = coulombs / n.input * w.facts.Chemistry.Fast.RestV.Value * cells
	heat := n.energy - n.stored
	w.span.highC = w.span.high * current
	piece := sim.Piece{Kind: sim.ConstantCurrent, Seconds: t, Coulombs: coulombs, I0: current, I1: current}
	if current < w.limits.current {
		piece.Kind = sim.PowerLimited
	}
	if t > 0 {
		piece.HeatW0, piece.HeatW1 = heat/t, heat/t
	}
	w.solve.charge = sim.Charge{
		Pieces: append(w.s.pieces[:0], piece), Seconds: t, Coulombs: coulombs, StoredJ: n.stored, HeatJ: heat,
	}
	w.solve.warm = sim.Warm(&w.solve.charge, m.Thermal)
	w.limits.NothingToDo = coulombs == 0
	w.limits.PeakDegC = w.solve.warm.PeakDegC
}

// avoidBlindBand keeps a nimh charge that nobody asked a current for out of the
// rates at which its end cannot be seen: too fast for the standard charge by the
// clock, too slow for a voltage drop.
func (w *work) avoidBlindBand() {
	if w.facts.Chemistry.Curve != nil || w.q.Goal != nil && w.q.Goal.CurrentA != nil {
		return
	}
	l := &w.limits
	standard, drop := rule.NickelRates(w.facts)
	a := l.least(func(LimitName) bool { return true })
	if a <= standard*(1+1e-9) || a >= drop*(1-1e-9) {
		return
	}
	l.add(LimitVoltageDrop, standard, "between 0.1 C and 0.5 C the end of a nimh charge cannot be seen, so it is charged at the standard 0.1 C")
	l.settleSafe()
}

func (w *work) nickel() nickel {
	f, amp := w.facts.Chemistry.Fast, w.nickelA()
	standard, drop := rule.NickelRates(w.facts)
	n := nickel{byDrop: amp >= drop*(1-1e-9)}
	switch {
	case n.byDrop:
		n.input = f.FastInput.Value
	case amp <= standard*(1+1e-9):
		n.input = f.StandardInput.Value
	default:
		part := math.Log(amp/standard) / math.Log(drop/standard)
		n.input = f.StandardInput.Value + part*(f.FastInput.Value-f.StandardInput.Value)
	}
	return n
}

// termination is how the charge ends.
func (w *work) termination() *Termination {
	f, n := w.facts.Chemistry.Fast, w.nickel()
	t := &Termination{Method: ByTime, TemperatureCutoffDegC: f.CutoffDegC.Value}
	if !n.byDrop {
		return t
	}
	rate := w.nickelA() / w.heldAh()
	part := min(max((rate-0.5)/0.5, 0), 1)
	slope := f.SlopeHalfC.Value + part*(f.SlopeOneC.Value-f.SlopeHalfC.Value)
	t.Method = ByVoltageDrop
	t.VoltageDropPerCellMV = r9(f.DropV.Value * 1000)
	t.VoltageDropMV = r9(f.DropV.Value * 1000 * float64(len(w.model.Groups)))
	t.TemperatureSlopeKPerMin = r9(slope * 60)
	t.IgnoreFirstMin = r9(f.IgnoreFirst.Value / 60)
	return t
}

// nickelPercent is the state of charge t seconds into the charge: what is
// stored so far over what the pack is expected to hold.
func (w *work) nickelPercent(t float64) float64 {
	z := w.model.Groups[0].Charge.Expected
	return min(z+t*w.nickelA()/w.nickel().input/w.model.Coulomb.Expected, 1) * 100
}

// r9 is a rounded number for an optional field.
func r9(x float64) *float64 {
	y := spec.Round9(x)
	return &y
}
