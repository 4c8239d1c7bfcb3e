package charge

import (
	"sort"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
)

// limitHeat lowers the current to the largest step at which the pack is not
// expected to heat itself past the temperature above which no cell is charged.
// Where not even the smallest does, a rule stops the plan. A nimh charge is left
// alone: less current would hide its end.
func (w *work) limitHeat() {
	l := &w.limits
	if l.current <= 0 || l.fixed || w.facts.Chemistry.Curve == nil || w.coolAtMost(l.current) {
		return
	}
	tooWarm := func(current float64) bool {
		c := w.at(corner{}, current)
		return sim.Warm(&c, w.model.Thermal).PeakDegC > rule.HottestDegC
	}
	if !tooWarm(l.current) {
		return
	}
	bottom, top := l.stepOf(l.SmallestA), l.stepOf(l.current)
	k := bottom + sort.Search(top-bottom, func(i int) bool { return tooWarm(l.stepA(bottom + i)) })
	if k == bottom {
		return
	}
	a := l.stepA(k - 1)
	l.add(LimitHeat, a, w.pen.S("the largest step at which the pack is not expected to pass ").N(rule.HottestDegC).S(" °C by its own heat").End())
	l.current = a
}

// coolAtMost reports whether the pack would stay below the limit even if none of
// its heat left it: ∫ I²R dt is at most I·R·Q. It spares nearly every plan the
// charge that would tell exactly.
func (w *work) coolAtMost(current float64) bool {
	ohm := 0.0
	for i := range w.model.Groups {
		ohm += w.model.Groups[i].Ohm.Expected
	}
	t := &w.model.Thermal
	// A deeply discharged cell takes a little more than its capacity.
	return max(t.StartDegC, t.AmbientDegC)+1.05*current*ohm*w.model.Coulomb.Expected/t.HeatCapacityJK <= rule.HottestDegC
}
