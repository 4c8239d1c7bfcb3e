package drain

import (
	"cmp"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// facts are what the rules look at.
func (w *work) facts() *rule.Facts {
	d := &rule.Draining{
		Connected: len(w.q.Drains) > 0, Cell: w.unsafe + 1, UnsafeDays: w.unsafeIn(w.unsafe).low,
		Uneven: w.uneven(), SpreadMV: w.spreadV() * 1000,
	}
	return &rule.Facts{
		Pack: &w.q.Pack, IdleDays: w.q.IdleDays, AsOf: w.q.AsOf, Chemistries: w.cells, Chemistry: w.c, Draining: d,
	}
}

// uneven reports whether the drains take more from one group than from another.
func (w *work) uneven() bool {
	for i := range w.model.Groups {
		if w.amps[i] != w.amps[0] {
			return true
		}
	}
	return false
}

// volts are the rested voltages of the groups after the idle time.
func (w *work) volts() []float64 {
	out := make([]float64, len(w.model.Groups))
	for i := range out {
		out[i] = max(w.c.Curve.Voltage(w.left[i]), 0) // a dead cell, but for rounding
	}
	return out
}

// spreadV is the highest less the lowest of them, 0 where no voltage is known.
func (w *work) spreadV() float64 {
	if w.c.Curve == nil {
		return 0
	}
	v := w.volts()
	return slices.Max(v) - slices.Min(v)
}

func (w *work) assemble(a *Estimate) {
	n := len(w.model.Groups)
	a.Cells = make([]Cell, n)
	days := make([]Days, 0, levels*n) // all of them in one piece of memory
	put := func(i, level int) *Days {
		days = append(days, w.days(i, level))
		return &days[len(days)-1]
	}
	lost := w.leak.Expected * w.model.Coulomb.Expected * 1000 // milliamperes at full charge
	for i := range a.Cells {
		z := max(w.model.Groups[i].Charge.Expected, cell.LeakHeld())
		a.Cells[i] = Cell{
			CurrentMA: spec.Round9(w.amps[i] * 1000), SelfDischargeMA: spec.Round9(lost * z), Empty: w.days(i, empty),
		}
		if w.c.Curve != nil {
			a.Cells[i].Storage, a.Cells[i].SafeStart, a.Cells[i].Floor = put(i, storage), put(i, safeStart), put(i, floor)
		}
	}
	first := w.days(w.unsafe, w.unsafeLevel())
	a.FirstUnsafe = FirstUnsafe{
		Cell: w.unsafe + 1, ExpectedDays: first.ExpectedDays, LowDays: first.LowDays, HighDays: first.HighDays, Drivers: w.drivers(),
	}
	a.Left = Left{IdleDays: spec.Round9(w.idle), CellChargesPercent: make([]float64, n)}
	for i := range n {
		a.Left.CellChargesPercent[i] = spec.Round9(max(w.left[i], 0) * 100)
	}
	left := w.left[:n]
	a.Left.SpreadMAh = spec.Round9((slices.Max(left) - slices.Min(left)) * w.model.Coulomb.Expected / milliampHour)
	if w.c.Curve != nil {
		for _, v := range w.volts() {
			a.Left.CellVoltagesV = append(a.Left.CellVoltagesV, spec.Round9(v))
		}
		mv := spec.Round9(w.spreadV() * 1000)
		a.Left.SpreadMV = &mv
	}
}

func (w *work) days(i, level int) Days {
	s := w.ends[i][level]
	return Days{ExpectedDays: spec.Round9(s.expected), LowDays: spec.Round9(s.low), HighDays: spec.Round9(s.high)}
}

// source of the width of a range: one input alone at either end.
type source struct {
	low, high      corner
	field, measure string
}

func (w *work) sources() [3]source {
	start := source{corner{charge: cell.Low}, corner{charge: cell.High}, "/pack/cell_voltages_v", "measure the cell voltages after an hour's rest, to the millivolt"}
	if w.c.Curve == nil {
		start.field, start.measure = "/pack/charge_percent", "charge it first, or count what was taken out of it: a nimh pack's voltage does not tell its charge"
	}
	return [3]source{
		{corner{coulomb: cell.Low}, corner{coulomb: cell.High}, "/pack/measured_capacity_mah", "measure the capacity: charge, rest and discharge once on a charger that counts"},
		start,
		{corner{leak: cell.High}, corner{leak: cell.Low}, "/pack/cell_voltages_v", "measure the cells now and again after a month at rest with nothing connected: what they lose by themselves is not known better than this"},
	}
}

// widens is by how much an input alone moves the time until the first group is
// unsafe: shortens it, or, where it cannot, lengthens it.
func (w *work) widens(s source) (days float64, shortens bool) {
	z, _ := w.level(w.unsafeLevel())
	at := func(c corner) float64 { return w.rest(w.unsafe, c).Seconds(z) / (24 * 3600) }
	if shorter := at(corner{}) - at(s.low); shorter > 0 {
		return shorter, true
	}
	return max(at(s.high)-at(corner{}), 0), false
}

func (w *work) drivers() []Driver {
	out := make([]Driver, 0, 3)
	for _, s := range w.sources() {
		if x, _ := w.widens(s); x > 0 {
			out = append(out, Driver{Field: s.field, WidensDays: spec.Round9(x), Measure: s.measure})
		}
	}
	slices.SortStableFunc(out, func(a, b Driver) int { return cmp.Compare(b.WidensDays, a.WidensDays) })
	return out
}

// cautions is what to watch with a pack that is left.
func cautions() []string {
	return []string{
		"The pack's and the device's own instructions supersede this estimate; so do local codes, and licensed practice where it applies.",
		"Unplug everything from a pack that is put away: alarm, meter, receiver, speed control. A switch that is off may still let a small current through.",
		"Keep packs cool and dry, where a fire would not spread, away from anything that burns, and look at them at least every three months.",
		"Do not charge a lithium cell that has been left below its floor. Take the pack to a recycling point.",
	}
}
