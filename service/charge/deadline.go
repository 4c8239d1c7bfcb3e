package charge

import (
	"sort"

	"github.com/wattkeel/wattkeel/service/rule"
)

// meetDeadline picks the lowest step whose long end meets the deadline, by
// bisection over the steps: more current never takes longer. A rough search for
// the long end comes first; it never finds a longer time than a thorough one, so
// the step that is sought is not below what it finds.
func (w *work) meetDeadline() {
	l := &w.limits
	most := l.current
	if most <= 0 {
		return
	}
	deadline := l.DeadlineMin * 60
	long := func(current float64, how search) float64 {
		l.current = current
		if w.facts.Chemistry.Curve == nil {
			w.computeNickel()
			return w.span.high
		}
		if groups, _ := w.groups(corner{}); len(groups) == 1 && w.farFromTaper(current) {
			return w.longest(current, 0, how).main // nothing to balance, and no charge is longer
		}
		e := w.at(corner{}, current)
		perC := e.BalanceS / w.model.Coulomb.Expected
		if w.balanceA > 0 {
			_, short := w.shortEnd(current)
			perC = max(perC, short)
		}
		return w.high(&e, w.longest(current, perC, how))
	}
	chosen := most
	lowest := l.SmallestA
	if w.facts.Chemistry.Curve == nil {
		// Either the standard charge is in time, or the lowest rate at which the
		// voltage drop is seen: nothing between.
		standardA, dropA := rule.NickelRates(w.facts)
		standard := l.snap(standardA)
		if standard > 0 && standard <= most && long(standard, thorough()) <= deadline {
			l.current = standard
			l.insertDeadline(standard, "the standard charge is surely done in time")
			return
		}
		if most > standardA {
			lowest = max(lowest, l.stepAbove(dropA))
		}
	}
	if !l.fixed && lowest < most {
		inTime := func(how search) func(int) bool {
			return func(k int) bool { return long(l.stepA(k), how) <= deadline }
		}
		bottom, top := l.stepOf(lowest), l.stepOf(most)
		k := bottom + sort.Search(top-bottom, func(i int) bool { return inTime(rough())(bottom + i) })
		if k < top && !inTime(thorough())(k) {
			k += sort.Search(top-k, func(i int) bool { return inTime(thorough())(k + i) })
		}
		chosen = min(l.stepA(k), most)
	}
	// That the highest current is in time needs no proof where a lower one is.
	if chosen == most {
		if t := long(most, thorough()); t > deadline {
			l.EarliestMin = t / 60
			l.current = most
			fastest := l.least(func(LimitName) bool { return true })
			l.add(LimitDeadline, fastest, "no current that every other limit allows is surely done in time; this is the fastest")
			return
		}
	}
	l.current = chosen
	l.insertDeadline(chosen, w.pen.S("the lowest step that is surely done in ").N(l.DeadlineMin).S(" min").End())
}

// insertDeadline puts the deadline where the pace would stand: first.
func (l *limits) insertDeadline(a float64, because string) {
	l.list = append(l.list, Limit{})
	copy(l.list[1:], l.list)
	l.list[0] = Limit{Name: LimitDeadline, CurrentA: a, Because: because}
	l.WithoutPower = min(l.WithoutPower, a)
	l.SupplyNeedW = min(l.SupplyNeedW, a*l.endPackV/l.efficiency)
}
