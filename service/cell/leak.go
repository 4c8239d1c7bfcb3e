package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Leak is self-discharge: the share of the charge it holds that a cell loses in a
// month at room temperature.
type Leak struct{ Low, Typical, High Param }

// A month of self-discharge, and the charge below which it is held at its value
// there: how it falls off toward empty is not published, and held it is on the
// safe side.
const (
	leakMonthDays = 365.25 / 12
	leakHeld      = 0.1
)

// LeakHeld is the state of charge below which self-discharge is held.
func LeakHeld() float64 { return leakHeld }

// PerDay is the rate of self-discharge per day, λ in dz/dt = −λ·z: what is left
// after a month is 1 less the monthly share.
func (l Leak) PerDay() Estimate {
	rate := func(p Param) float64 { return -math.Log1p(-p.Value) / leakMonthDays }
	return Estimate{rate(l.Low), rate(l.Typical), rate(l.High)}
}

// lithiumLeak: one careful measurement found far less than the textbooks, which
// count a protection circuit. Hobby packs have none, but are seldom new.
func lithiumLeak() Leak {
	return Leak{
		Low: Param{0.002, spec.Source{
			Kind: spec.Paper, Title: "I. Zilberman, J. Sturm, A. Jossen, Reversible self-discharge and calendar aging of 18650 nickel-rich, silicon-graphite lithium-ion cells, J. Power Sources 425, 217-226",
			Clause: "0.2 % a month at 25 °C and 10 % charge, 0.4 % at 90 %; from a summary", Year: 2019, Standing: spec.Read,
		}},
		Typical: Param{0.02, spec.Source{Kind: spec.Handbook, Title: "Encyclopedia pages on self-discharge", Clause: "lithium-ion, 2 to 3 % a month, a protection circuit included", Standing: spec.Read}},
		High:    Param{0.03, spec.Source{Kind: spec.Handbook, Title: "Encyclopedia pages on self-discharge", Clause: "lithium-ion, 2 to 3 % a month, a protection circuit included", Standing: spec.Read}},
	}
}

// nickelLeak: ordinary cells lose about a third a month, those sold as keeping
// their charge far less.
func nickelLeak() Leak {
	source := func(clause string) spec.Source {
		return spec.Source{Kind: spec.Paper, Title: "Journal of Renewable Energy, article 2329261", Clause: "Table 3: " + clause, Year: 2024, Standing: spec.Read}
	}
	return Leak{
		Low:     Param{0.04, source("low-self-discharge nickel-metal hydride, 4 % a month")},
		Typical: Param{0.30, source("nickel-metal hydride, about 30 % a month")},
		High:    Param{0.30, source("nickel-metal hydride, about 30 % a month")},
	}
}
