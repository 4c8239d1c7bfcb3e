package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

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
	lowest := l.SmallestA
	if w.facts.Chemistry.Curve == nil {
		// Either the standard charge is in time, or the lowest rate at which the
		// voltage drop is seen: nothing between.
		standardA, dropA := rule.NickelRates(w.facts)
		standard := l.snap(standardA)
		if standard > 0 && long(standard) <= deadline {
			l.current = standard
			l.insertDeadline(standard, "the standard charge is surely done in time")
			return
		}
		if most > standardA {
			lowest = max(lowest, math.Ceil(dropA/l.step-1e-9)*l.step)
		}
	}
	if !l.fixed && lowest < most {
		lo, hi := int(lowest/l.step+0.5), int(most/l.step+0.5)
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
