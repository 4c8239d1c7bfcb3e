package drain

import (
	"cmp"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// sheet is an estimate with the parts that cost one allocation together.
type sheet struct {
	Estimate

	drivers  [3]Driver
	spreadMV float64
}

// state puts down what the rules look at.
func (w *work) state() {
	w.s.draining = rule.Draining{
		Connected: len(w.q.Drains) > 0, Cell: w.unsafe + 1, UnsafeDays: w.unsafeIn(w.unsafe).low,
		Uneven: w.uneven(), SpreadMV: w.spread(voltOf) * 1000,
	}
	w.s.facts = rule.Facts{
		Pack: &w.q.Pack, IdleDays: w.q.IdleDays, AsOf: w.q.AsOf, Chemistries: w.cells, Chemistry: w.c, Draining: &w.s.draining,
	}
}

// uneven reports whether the drains take more from one group than from another.
func (w *work) uneven() bool {
	for i := range w.groups {
		if w.groups[i].amp != w.groups[0].amp {
			return true
		}
	}
	return false
}

// spread is the highest less the lowest of a number of the groups.
func (w *work) spread(of func(*group) float64) float64 {
	high, low := of(&w.groups[0]), of(&w.groups[0])
	for i := range w.groups {
		x := of(&w.groups[i])
		high, low = max(high, x), min(low, x)
	}
	return high - low
}

func leftOf(g *group) float64 { return g.left }

func voltOf(g *group) float64 { return g.volt }

func (w *work) assemble(made *sheet) {
	a, n, curved := &made.Estimate, len(w.groups), w.c.Curve != nil
	a.Cells = make([]Cell, n)
	lost := w.leak.Expected * w.model.Coulomb.Expected * 1000 // milliamperes at full charge
	for i := range a.Cells {
		z := max(w.model.Groups[i].Charge.Expected, cell.LeakHeld())
		a.Cells[i] = Cell{
			CurrentMA: spec.Round9(w.groups[i].amp * 1000), SelfDischargeMA: spec.Round9(lost * z), Empty: w.days(i, empty),
		}
	}
	if curved {
		days := make([][3]Days, n) // all of them in one piece of memory
		for i := range days {
			x, d := &a.Cells[i], &days[i]
			*d = [3]Days{w.days(i, storage), w.days(i, safeStart), w.days(i, floor)}
			x.Storage, x.SafeStart, x.Floor = &d[0], &d[1], &d[2]
		}
	}
	first := w.days(w.unsafe, w.unsafeLevel())
	a.FirstUnsafe = FirstUnsafe{
		Cell: w.unsafe + 1, ExpectedDays: first.ExpectedDays, LowDays: first.LowDays, HighDays: first.HighDays,
		Drivers: w.drivers(made.drivers[:0]),
	}
	list := make([]float64, 2*n)
	a.Left = Left{
		IdleDays: spec.Round9(w.idle), CellChargesPercent: list[:n:n],
		SpreadMAh: spec.Round9(w.spread(leftOf) * w.model.Coulomb.Expected / milliampHour),
	}
	for i := range w.groups {
		a.Left.CellChargesPercent[i] = spec.Round9(max(w.groups[i].left, 0) * 100)
	}
	if curved {
		a.Left.CellVoltagesV = list[n:]
		for i := range w.groups {
			a.Left.CellVoltagesV[i] = spec.Round9(w.groups[i].volt)
		}
		made.spreadMV = spec.Round9(w.spread(voltOf) * 1000)
		a.Left.SpreadMV = &made.spreadMV
	}
}

func (w *work) days(i, level int) Days {
	s := w.groups[i].ends[level]
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
	z, expected := w.levels[w.unsafeLevel()], w.unsafeIn(w.unsafe).expected
	at := func(c corner) float64 { return w.rest(w.unsafe, c).Seconds(z) / day }
	if shorter := expected - at(s.low); shorter > 0 {
		return shorter, true
	}
	return max(at(s.high)-expected, 0), false
}

// drivers appends to out what widens the range, the most important first.
func (w *work) drivers(out []Driver) []Driver {
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
