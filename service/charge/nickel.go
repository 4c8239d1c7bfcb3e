package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
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

// computeNickel finds the one phase of a nimh charge and its range.
func (w *work) computeNickel() {
	n, m, current := w.nickel(), &w.model, w.limits.current
	z := m.Groups[0].Charge
	time := func(coulomb, charge, input float64) float64 { return coulomb * (1 - charge) * input / current }
	t := time(m.Coulomb.Expected, z.Expected, n.input)
	if n.byDrop {
		// The charge cut-off ends the charge at the latest: 105 % of the rated
		// capacity, whatever the pack holds.
		latest := time(m.RatedC, z.Low, n.input)
		w.span = span{expected: min(t, latest), low: time(m.Coulomb.Low, z.High, n.input*0.95), high: latest}
		t = w.span.expected
		w.span.byCapacity = latest - time(m.Coulomb.Low, z.Low, n.input)
		w.span.byStart = time(m.Coulomb.Expected, z.Low, n.input) - time(m.Coulomb.Expected, z.High, n.input)
	} else {
		// The clock ends it, so there is nothing uncertain about when.
		t = time(m.RatedC, z.Expected, n.input)
		w.span = span{expected: t, low: t, high: t}
	}
	coulombs := current * t
	cells := float64(len(m.Groups))
	n.energy = coulombs * w.facts.Chemistry.Fast.ChargeV.Value * cells
	n.stored = coulombs / n.input * w.facts.Chemistry.Fast.RestV.Value * cells
	heat := n.energy - n.stored
	w.span.highC = w.span.high * current
	piece := sim.Piece{Kind: sim.ConstantCurrent, Seconds: t, Coulombs: coulombs, I0: current, I1: current}
	if t > 0 {
		piece.HeatW0 = heat / t
	}
	w.solve.charge = sim.Charge{
		Pieces: append(w.s.pieces[:0], piece), Seconds: t, Coulombs: coulombs, StoredJ: n.stored, HeatJ: heat,
	}
	w.solve.warm = sim.Warm(&w.solve.charge, m.Thermal)
	w.limits.NothingToDo = coulombs == 0
	w.limits.PeakDegC = w.solve.warm.PeakDegC
}

func (w *work) nickel() nickel {
	f := w.facts.Chemistry.Fast
	rate := w.limits.current / w.limits.ah
	n := nickel{byDrop: rate >= f.LeastC.Value*(1-1e-9)}
	switch {
	case n.byDrop:
		n.input = f.FastInput.Value
	case rate <= f.StandardC.Value:
		n.input = f.StandardInput.Value
	default:
		part := math.Log(rate/f.StandardC.Value) / math.Log(f.LeastC.Value/f.StandardC.Value)
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
	rate := w.limits.current / w.limits.ah
	part := min(max((rate-0.5)/0.5, 0), 1)
	slope := f.SlopeHalfC.Value + part*(f.SlopeOneC.Value-f.SlopeHalfC.Value)
	t.Method = ByVoltageDrop
	t.VoltageDropPerCellMV = r9(f.DropV.Value * 1000)
	t.VoltageDropMV = r9(f.DropV.Value * 1000 * float64(len(w.model.Groups)))
	t.TemperatureSlopeKPerMin = r9(slope * 60)
	t.IgnoreFirstMin = r9(f.IgnoreFirst.Value / 60)
	return t
}

// nickelPercent is the state of charge t seconds into the charge.
func (w *work) nickelPercent(t float64) float64 {
	z := w.model.Groups[0].Charge.At(cell.Expected)
	if w.span.expected == 0 {
		return z * 100
	}
	return (z + (1-z)*t/w.span.expected) * 100
}

// r9 is a rounded number for an optional field.
func r9(x float64) *float64 {
	y := spec.Round9(x)
	return &y
}
