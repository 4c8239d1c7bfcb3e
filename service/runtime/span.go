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
	byStart, byCapacity, byResists float64 // the run with the least of each alone, the most resistance
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
		s.low = min(s.low, high.Seconds, w.at(corner{cell.Low, cell.Low, least}).Seconds, w.at(corner{cell.High, cell.High, most}).Seconds)
		s.longF = w.longest(least, most)
		s.high = max(s.high, low.Seconds, w.cool(corner{cell.High, cell.High, s.longF}).Seconds)
	}
	s.byCapacity = w.at(corner{coulomb: cell.Low}).Seconds
	s.byStart = w.at(corner{charge: cell.Low}).Seconds
	s.byResists = w.at(corner{ohm: most}).Seconds
}

// longest is the factor of the resistances from least to most with which a resistor runs
// longest: the largest with which the weakest cell is not below the cut-off when the
// reserve is reached.
func (w *work) longest(least, most float64) float64 {
	cutoff := w.draw.CutoffV
	defer func() { w.draw.CutoffV = cutoff }()
	w.draw.CutoffV = math.Inf(-1)
	spare := func(f float64) float64 { return w.cool(corner{cell.High, cell.High, f}).EndCellV - cutoff }
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
	add := func(alone float64, field, measure string) {
		if by := spec.Round9(math.Abs(w.run0.Seconds-alone) / minute); by > 0 {
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
	for i := 1; i < len(d.Drivers); i++ { // three at most: insertion keeps the order of equals
		for j := i; j > 0 && d.Drivers[j].WidensMin > d.Drivers[j-1].WidensMin; j-- {
			d.Drivers[j], d.Drivers[j-1] = d.Drivers[j-1], d.Drivers[j]
		}
	}
	return d
}
