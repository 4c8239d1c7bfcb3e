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
	byStart, byCapacity, byResists float64 // how much each alone could shorten it
	longF                          float64 // factor of the resistances with which a resistor runs longest
}

// estimateSpan finds the range.
//
// The time falls with the resistance and grows with the capacity and the start,
// so its bounds are the runs at two corners. A resistor is different: more resistance in the pack
// lowers the current and stretches the charge, until the cut-off comes first, and it runs
// longest where the two meet; where heat ends it, a fuller pack is hot sooner. So all its corners
// are looked at for the short end, and heat does not end the long one. (The heat is greatest
// where the pack's resistance is the resistor's: where that lies within the range and heat ends the
// run, the short end may be missed by a little.)
func (w *work) estimateSpan() {
	least, most := w.model.OhmRange()
	s := &w.span
	low := w.at(corner{cell.Low, cell.Low, most})
	high := w.at(corner{cell.High, cell.High, least})
	s.low, s.high = min(low.Seconds, w.run0.Seconds), max(high.Seconds, w.run0.Seconds)
	if w.draw.Kind == sim.LoadResistance {
		swift, choked := w.at(corner{cell.Low, cell.Low, least}), w.at(corner{cell.High, cell.High, most})
		s.low = min(s.low, high.Seconds, swift.Seconds, choked.Seconds)
		s.longF = most
		if choked.Stop != sim.StopReserve { // else that is the longest
			s.longF = w.longest(least, most)
			choked = w.long(least)
		}
		s.high = max(s.high, low.Seconds, choked.Seconds)
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

// long is the run at the long end of a resistor. It goes to the reserve, where the weakest cell is just at
// the cut-off: where its voltage hardly falls any more, the last digit would decide how early it is
// met. With the least resistance the cut-off may come first.
func (w *work) long(least float64) sim.Drawn {
	c := corner{cell.High, cell.High, w.span.longF}
	if w.span.longF > least {
		return w.uncut(c)
	}
	return w.cool(c)
}

// uncut runs the load at one corner as if neither heat nor a voltage ended it.
func (w *work) uncut(c corner) sim.Drawn {
	cutoff := w.draw.CutoffV
	w.draw.CutoffV = math.Inf(-1)
	r := w.cool(c)
	w.draw.CutoffV = cutoff
	return r
}

// longest is the factor of the resistances from least to most with which a resistor runs
// longest: the largest with which the weakest cell is not below the cut-off when the
// reserve is reached.
func (w *work) longest(least, most float64) float64 {
	spare := func(f float64) float64 {
		return w.uncut(corner{cell.High, cell.High, f}).EndCellV - w.draw.CutoffV
	}
	a, b := spare(least), spare(most)
	switch {
	case a <= 0:
		return least
	case b > 0:
		return most
	}
	return sim.Root(least, most, a, b, spare)
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
