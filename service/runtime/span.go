package runtime

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// span is the time of a run as a range, in seconds, and what widens it.
type span struct {
	low, high                      float64
	byStart, byCapacity, byResists float64   // how much each alone could shorten it
	long                           sim.Drawn // of a resistor: the charge that the least resistance gives, drawn with the most
}

// estimateSpan finds the range.
//
// The time falls with the resistance and grows with the capacity and the start,
// so its bounds are the runs at two corners. A resistor is different: more resistance in the pack
// lowers the current and stretches the charge, until the cut-off comes first; where heat ends
// it, a fuller pack is hot sooner. So all its corners are looked at for the short end, and the
// long one has the best of both, cool: the charge that the least resistance gives, drawn with the
// most. No pack of the range runs longer. (The short end may be missed by a little: the heat is
// greatest where the pack's resistance is the resistor's, and one bad cell meets the cut-off soonest
// for a capacity and a start that may lie inside their ranges, as a fuller pack drives a
// resistor harder.)
func (w *work) estimateSpan() {
	least, most := w.model.OhmRange()
	s := &w.span
	low := w.at(corner{cell.Low, cell.Low, most})
	high := w.at(corner{cell.High, cell.High, least})
	s.low, s.high = min(low.Seconds, w.run0.Seconds), max(high.Seconds, w.run0.Seconds)
	if w.draw.Kind == sim.LoadResistance {
		swift, choked := w.at(corner{cell.Low, cell.Low, least}), w.at(corner{cell.High, cell.High, most})
		s.low = min(s.low, high.Seconds, swift.Seconds, choked.Seconds)
		s.long = w.long(least, most)
		s.high = max(s.high, low.Seconds, s.long.Seconds)
	}
	w.drive()
}

// drive finds how much each cause alone could shorten the run.
//
// Where the reserve ends it, the way from the expected to the short end is shared: for given
// currents the time is proportional to capacity, and an emptier start takes away its
// charge at the mean current; the rest is the resistance's. None is more than the whole
// way. Where a voltage or heat ends it, capacity and start may do little, and how little only
// runs tell.
func (w *work) drive() {
	s, r := &w.span, &w.run0
	if r.Stop != sim.StopReserve {
		_, most := w.model.OhmRange()
		alone := func(c corner) float64 { return max(0, r.Seconds-w.at(c).Seconds) }
		s.byCapacity, s.byStart, s.byResists = alone(corner{coulomb: cell.Low}), alone(corner{charge: cell.Low}), alone(corner{ohm: most})
		return
	}
	if r.Coulombs <= 0 {
		return
	}
	way, shrink := r.Seconds-s.low, w.model.Coulomb.Low/w.model.Coulomb.Expected
	s.byCapacity = min(way, r.Seconds*(1-shrink))
	s.byStart = min(way, r.Seconds/r.Coulombs*w.startC())
	s.byResists = max(0, (r.Seconds-s.byStart)*shrink-s.low)
}

// startC is how much less charge the emptiest cell may begin with.
func (w *work) startC() float64 {
	expected, low := math.Inf(1), math.Inf(1)
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		expected, low = min(expected, g.Charge.Expected), min(low, g.Charge.Low)
	}
	return (expected - low) * w.model.Coulomb.Expected
}

// long is the run at the long end of a resistor.
func (w *work) long(least, most float64) sim.Drawn {
	d := &w.draw
	cutoff, reserve, limit := d.CutoffV, d.Reserve, d.LimitDegC
	d.LimitDegC = math.Inf(1)
	if r := w.at(corner{cell.High, cell.High, least}); r.Stop != sim.StopReserve {
		emptiest := math.Inf(1)
		for i := range w.model.Groups {
			emptiest = min(emptiest, w.model.Groups[i].Charge.High)
		}
		d.Reserve = emptiest - r.Coulombs/w.model.Coulomb.High
	}
	d.CutoffV = math.Inf(-1)
	r := w.at(corner{cell.High, cell.High, most})
	d.CutoffV, d.Reserve, d.LimitDegC = cutoff, reserve, limit
	return r
}

func (w *work) duration() spec.Duration {
	s := &w.span
	d := spec.Duration{
		ExpectedMin: spec.Round9(w.run0.Seconds / minute),
		LowMin:      spec.Round9(s.low / minute),
		HighMin:     spec.Round9(s.high / minute),
		Drivers:     make([]spec.Driver, 0, 3),
	}
	add := func(seconds float64, field, measure string) {
		if by := spec.Round9(seconds / minute); by > 0 {
			d.Drivers = append(d.Drivers, spec.Driver{Field: field, WidensMin: by, Measure: measure})
		}
	}
	switch {
	case w.model.From == spec.FromAssumedFull && w.draw.Curve != nil:
		add(s.byStart, "/pack/cell_voltages_v", "measure the rested cell voltages: without them the pack is taken as just charged")
	case w.draw.Curve != nil:
		add(s.byStart, "/pack/cell_voltages_v", "measure the cell voltages after an hour's rest, to the millivolt")
	default:
		add(s.byStart, "/pack/charge_percent", "charge the pack right before, or count what went in: a nimh pack's voltage does not tell its charge")
	}
	add(s.byCapacity, "/pack/measured_capacity_mah", "measure the capacity: charge, rest and discharge once on a charger that counts")
	resistance := "measure the cell resistances at the temperature of the run"
	if w.model.Measured {
		resistance = "measure the resistances with a 10 s load step (dc_10s), which says more than a 1 kHz reading"
	}
	add(s.byResists, "/pack/cell_resistances_mohm", resistance)
	spec.SortDrivers(d.Drivers)
	return d
}
