package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// span is the time of a charge as a range, in seconds, and what widens it.
type span struct {
	expected, low, high            float64
	highC                          float64 // charge at the long end, in coulombs
	byStart, byCapacity, byResists float64 // how much each alone could lengthen it
}

// solved is the expected charge and what it warms.
type solved struct {
	charge sim.Charge
	warm   sim.Warmth
}

// corner says which end of each range to charge with.
type corner struct{ coulomb, charge, ohm cell.Pick }

// groups lists the pack's groups at one corner, alike ones together, and says
// whether it is the expected one. The expected list and that of a corner lie in
// scratch memory of their own.
func (w *work) groups(c corner) (groups []sim.Group, expected bool) {
	slot := 1
	if expected = c == (corner{}); expected {
		slot = 0
	}
	groups = w.s.groups[slot][:0]
next:
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		z, ohm := g.Charge.At(c.charge), g.Ohm.At(c.ohm)
		for j := range groups {
			if groups[j].Charge == z && groups[j].Ohm == ohm {
				groups[j].Count++
				continue next
			}
		}
		groups = append(groups, sim.Group{Count: 1, Coulomb: w.model.Coulomb.At(c.coulomb), Charge: z, Ohm: ohm})
	}
	return groups, expected
}

// at computes the charge at one corner. All but the expected one are wanted
// only for their times and their charge.
func (w *work) at(c corner, current float64) sim.Charge {
	groups, expected := w.groups(c)
	p := w.program(current)
	p.Brief = !expected
	out := sim.Run(w.facts.Chemistry.Curve, groups, p, w.s.pieces)
	if expected {
		w.s.pieces = out.Pieces[:0]
	}
	return out
}

// compute finds the expected charge and its range.
//
// Without balancing the time is monotone in what is uncertain, so its bounds
// are the charges at the corners. Balancing is not: how far apart the cells
// are depends on where on the curve they are taken to rest. The long end counts
// the longest balancing at either end of the start and between; the short end
// counts none, because many chargers equalize during the charge.
func (w *work) compute() {
	if w.facts.Chemistry.Curve == nil {
		w.computeNickel()
		return
	}
	current := w.limits.current
	w.solve.charge = w.at(corner{}, current)
	w.solve.warm = sim.Warm(&w.solve.charge, w.model.Thermal)
	e := &w.solve.charge
	charging := e.MainSeconds()
	low, balance := w.shortest(current)
	end := w.longest(current, max(e.BalanceS/w.model.Coulomb.Expected, balance))
	w.span = span{
		expected: e.Seconds, low: min(low, charging),
		high: w.high(e, end), highC: max(end.coulombs, e.Coulombs),
	}
	w.drive(current, charging, end)
	w.limits.NothingToDo = e.Coulombs == 0
	w.limits.PeakDegC = w.solve.warm.PeakDegC
}

// shortest is the short end of the range without balancing, and the balancing
// there for each coulomb of capacity: it moves a difference of charge at a given
// current, so it is proportional to capacity.
func (w *work) shortest(current float64) (seconds, balancePerC float64) {
	seconds = math.Inf(1)
	for _, ohm := range w.ohms(current, cell.Low) {
		c := w.at(corner{cell.Low, cell.High, ohm}, current)
		seconds = min(seconds, c.MainSeconds())
		balancePerC = max(balancePerC, c.BalanceS/w.model.Coulomb.Low)
	}
	return seconds, balancePerC
}

// high is the high bound of the time: the long end, or the expected charge
// where cells so unlike, or a current so near the taper, make it the longer.
func (w *work) high(e *sim.Charge, end long) float64 {
	return max(e.Seconds, end.main+end.balance)
}

// drive shares the way from the expected to the long end among its causes. For
// given currents time is proportional to capacity; what an emptier start adds
// is its charge at the set current; the rest is the resistance's.
func (w *work) drive(current, charging float64, end long) {
	grow := w.model.Coulomb.High / w.model.Coulomb.Expected
	start := max(0, end.mainC/grow-w.solve.charge.MainCoulombs()) / current
	w.span.byStart = start + end.balance // the short end counts no balancing at all
	w.span.byCapacity = charging * (grow - 1)
	w.span.byResists = max(0, end.main/grow-charging-start)
}

// long is the long end of the range, its balancing apart.
type long struct{ main, mainC, balance, coulombs float64 }

// longest finds the long end of the range, given the longest balancing found
// elsewhere for each coulomb of capacity.
func (w *work) longest(current, balancePerC float64) long {
	end := long{balance: balancePerC * w.model.Coulomb.High}
	for _, ohm := range w.ohms(current, cell.High) {
		c := w.at(corner{cell.High, cell.Low, ohm}, current)
		if c.MainSeconds() > end.main {
			end.main, end.mainC = c.MainSeconds(), c.MainCoulombs()
		}
		end.coulombs = max(end.coulombs, c.Coulombs)
		end.balance = max(end.balance, c.BalanceS)
	}
	return end
}

// ohms lists the ends of the resistance's range to try for one end of the
// time's. More resistance lengthens a charge only while the current is above e
// times the taper: constant current for less long, constant voltage for longer,
// t = (1 − z)/c − r/k + (r/k)·ln(c/c_end). Nearer to the taper both ends are
// tried.
func (w *work) ohms(current float64, end cell.Pick) []cell.Pick {
	if current > 4*w.taperA && w.model.Groups[0].Charge.High < 0.8 {
		if end == cell.Low {
			return []cell.Pick{cell.Low}
		}
		return []cell.Pick{cell.High}
	}
	return []cell.Pick{cell.Low, cell.High}
}

// meetDeadline picks the lowest step whose long end meets the deadline, by
// bisection over the steps: more current never takes longer.
func (w *work) meetDeadline() {
	l := &w.limits
	most := l.current
	if most <= 0 {
		return
	}
	deadline := l.DeadlineMin * 60
	long := func(current float64) float64 {
		l.current = current
		if w.facts.Chemistry.Curve == nil {
			w.computeNickel()
			return w.span.high
		}
		e := w.at(corner{}, current)
		_, balance := w.shortest(current)
		return w.high(&e, w.longest(current, max(e.BalanceS/w.model.Coulomb.Expected, balance)))
	}
	if t := long(most); t > deadline {
		l.EarliestMin = t / 60
		l.current = most
		fastest := l.least(func(LimitName) bool { return true })
		l.add(LimitDeadline, fastest, "no current that every other limit allows is surely done in time; this is the fastest")
		return
	}
	chosen := most
	if !l.fixed {
		lo, hi := int(l.SmallestA/l.step+0.5), int(most/l.step+0.5)
		for lo < hi {
			mid := (lo + hi) / 2
			if long(spec.Round9(float64(mid)*l.step)) <= deadline {
				hi = mid
			} else {
				lo = mid + 1
			}
		}
		chosen = min(spec.Round9(float64(hi)*l.step), most)
	}
	l.current = chosen
	l.insertDeadline(chosen, w.pen.s("the lowest step that is surely done in ").n(l.DeadlineMin).s(" min").end())
}

// insertDeadline puts the deadline where the pace would stand: first.
func (l *limits) insertDeadline(a float64, because string) {
	l.list = append(l.list, Limit{})
	copy(l.list[1:], l.list)
	l.list[0] = Limit{Name: LimitDeadline, CurrentA: a, Because: because}
	l.WithoutPower = min(l.WithoutPower, a)
	l.SupplyNeedW = min(l.SupplyNeedW, a*l.endPackV/l.efficiency)
}
