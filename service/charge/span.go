package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
)

// span is the time of a charge as a range, in seconds, and what widens it.
type span struct {
	expected, low, high            float64
	highC                          float64 // charge at the long end, in coulombs
	byStart, byCapacity, byResists float64 // how much each alone could lengthen it

	end     long    // the long end
	short   float64 // the short end, without balancing
	quickF  float64 // common factor of the resistances at the short end
	balance float64 // the longest balancing of the others, for each coulomb of capacity
}

// solved is the expected charge and what it warms.
type solved struct {
	charge sim.Charge
	warm   sim.Warmth
}

// corner says which value of each range to charge with. The resistances of all
// groups are uncertain by one common factor; 0 stands for 1.
type corner struct {
	coulomb, charge cell.Pick
	ohm             float64
}

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
		z, ohm := g.Charge.At(c.charge), g.Ohm.Expected
		if c.ohm > 0 {
			ohm *= c.ohm
		}
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
	if w.upToV > 0 {
		p.Counted, p.CountC = true, math.Inf(1)
		for i := range groups {
			p.CountC = min(p.CountC, max(0, (w.upTo-groups[i].Charge)*groups[i].Coulomb))
		}
	}
	out := sim.Run(w.facts.Chemistry.Curve, groups, p, w.s.pieces)
	if expected {
		w.s.pieces = out.Pieces[:0]
	}
	return out
}

// compute finds the expected charge and its range.
//
// Without balancing the time is monotone in capacity and in the start, so their
// bounds are the charges at the corners; for the resistance see longest.
// Balancing is not monotone: how far apart the cells are depends on where on the
// curve they are taken to rest. The long end counts the longest balancing at
// either end of the start and between; the short end counts none, because many
// chargers equalize during the charge.
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
	low, quick, balance := w.shortest(current)
	balance = max(balance, e.BalanceS/w.model.Coulomb.Expected)
	end := w.longest(current, balance, thorough())
	w.span = span{
		expected: e.Seconds, low: min(low, charging),
		high: w.high(e, end), highC: max(w.mostCharge(), e.Coulombs),
		end: end, short: low, quickF: quick, balance: balance,
	}
	w.drive(current, charging, end)
	w.limits.NothingToDo = e.Coulombs == 0
	w.limits.PeakDegC = w.solve.warm.PeakDegC
}

// Where more resistance surely lengthens a charge: from a multiple of the taper,
// below a charge, within volts of the rested cell.
const farAbove, farFull, farTop = 4.0, 0.8, 0.25

// farFromTaper reports whether more resistance surely lengthens the charge: it
// makes constant current end sooner and constant voltage last longer,
// t = (1 − z)/c − r/k + (r/k)·ln(c/c_end), and the second wins while the current
// is above e times the taper, every cell begins well below full, and constant
// current ends so near the top that the slope k is much the same from there on.
func (w *work) farFromTaper(current float64) bool {
	if current <= farAbove*w.taperA {
		return false
	}
	for i := range w.model.Groups {
		if g := &w.model.Groups[i]; g.Charge.High >= farFull || current*g.Ohm.High > farTop {
			return false
		}
	}
	return true
}

// shortest is the short end of the range without balancing, the factor of the
// resistances there, and the balancing for each coulomb of capacity: it moves a
// difference of charge at a given current, so it is proportional to capacity.
func (w *work) shortest(current float64) (seconds, factor, balancePerC float64) {
	low, high := w.model.OhmRange()
	seconds, balancePerC = w.shortEnd(current)
	if w.farFromTaper(current) {
		return seconds, low, balancePerC
	}
	best, at := highest(math.Log(low), math.Log(high), thorough(), func(x float64) float64 {
		c := w.fullStart(current, math.Exp(x))
		return -c.MainSeconds()
	})
	return -best, math.Exp(at), balancePerC
}

// shortEnd is what shortest returns where the least resistance is the quickest.
func (w *work) shortEnd(current float64) (seconds, balancePerC float64) {
	low, _ := w.model.OhmRange()
	c := w.fullStart(current, low)
	return c.MainSeconds(), c.BalanceS / w.model.Coulomb.Low
}

// fullStart is the charge of the pack that holds least and begins fullest.
func (w *work) fullStart(current, ohm float64) sim.Charge {
	return w.at(corner{cell.Low, cell.High, ohm}, current)
}

// long is the long end of the range, its balancing apart, and the factor of the
// resistances there.
type long struct{ main, mainC, balance, factor float64 }

// longest finds the long end of the range, given the longest balancing found
// elsewhere for each coulomb of capacity. Near the taper the time has its extremes
// somewhere inside the range of the resistance; there they are searched for, and
// balancing is looked at on the even grid that the search begins with.
func (w *work) longest(current, balancePerC float64, how search) long {
	low, high := w.model.OhmRange()
	end := long{balance: balancePerC * w.model.Coulomb.High}
	try := func(factor float64) sim.Charge {
		c := w.at(corner{cell.High, cell.Low, factor}, current)
		if c.MainSeconds() > end.main {
			end.main, end.mainC, end.factor = c.MainSeconds(), c.MainCoulombs(), factor
		}
		return c
	}
	if w.farFromTaper(current) {
		end.factor = high
		end.balance = max(end.balance, try(high).BalanceS)
		return end
	}
	end.factor = low // where every time is 0
	n := 0
	highest(math.Log(low), math.Log(high), how, func(x float64) float64 {
		c := try(math.Exp(x))
		if n++; n <= how.grid+1 {
			end.balance = max(end.balance, c.BalanceS)
		}
		return c.MainSeconds()
	})
	return end
}

// search is how thoroughly a maximum is looked for: points of an even grid, and
// steps of golden section. 44 steps place it to 1e-10 of the range: it may be a
// corner, where a breakpoint of the curve is met.
type search struct{ grid, golden int }

func thorough() search { return search{grid: 12, golden: 44} }

func rough() search { return search{grid: 4} }

// highest finds the maximum of f between a and b: the best of an even grid, then
// golden-section search (J. Kiefer, Proc. AMS 4, 502-506, 1953; from memory)
// between its neighbors. It returns the maximum and where it lies.
func highest(a, b float64, how search, f func(float64) float64) (best, at float64) {
	step := (b - a) / float64(how.grid)
	best, at = math.Inf(-1), a
	better := func(y, x float64) {
		if y > best {
			best, at = y, x
		}
	}
	for i := range how.grid + 1 {
		x := a + float64(i)*step
		better(f(x), x)
	}
	if how.golden == 0 {
		return best, at
	}
	lo, hi := max(a, at-step), min(b, at+step)
	golden := (math.Sqrt(5) - 1) / 2
	x1, x2 := hi-golden*(hi-lo), lo+golden*(hi-lo)
	y1, y2 := f(x1), f(x2)
	for range how.golden {
		if y1 < y2 {
			lo, x1, y1 = x1, x2, y2
			x2 = lo + golden*(hi-lo)
			y2 = f(x2)
		} else {
			hi, x2, y2 = x2, x1, y1
			x1 = hi - golden*(hi-lo)
			y1 = f(x1)
		}
	}
	better(y1, x1)
	better(y2, x2)
	return best, at
}

// high is the high bound of the time: the long end, or the expected charge
// where cells so unlike make it the longer.
func (w *work) high(e *sim.Charge, end long) float64 {
	return max(e.Seconds, end.main+end.balance)
}

// mostCharge is the largest charge that may pass before the taper, in coulombs:
// most capacity, emptiest start, least resistance.
func (w *work) mostCharge() float64 {
	most := 0.0
	for i := range w.model.Groups {
		g := &w.model.Groups[i]
		end := w.facts.Chemistry.Curve.Charge(w.endCellV - w.taperA*g.Ohm.Low)
		if w.upToV > 0 {
			end = min(end, w.upTo)
		}
		most = max(most, (end-g.Charge.Low)*w.model.Coulomb.High)
	}
	return most
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
