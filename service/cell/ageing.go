package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// schmalstieg is the published calendar-ageing result that losses are worked out
// by. Its state of charge was varied at 50 °C and its temperature at 50 %, so a
// full cell at room temperature is an extrapolation.
func schmalstieg(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "J. Schmalstieg, S. Kaebitz, M. Ecker, D. U. Sauer, J. Power Sources 257, 325-334",
		Clause: clause + "; nickel-manganese-cobalt 18650 cells, doi 10.1016/j.jpowsour.2014.02.012, as coded in a national laboratory's open library", Year: 2014, Standing: spec.Read,
	}
}

// AgeingSource is where CalendarLoss comes from.
func AgeingSource() spec.Source { return schmalstieg("calendar loss of capacity") }

// CalendarLoss is the share of its capacity that a cell loses while it lies for
// days at a rested voltage:
//
//	(7.543·V − 23.75)·10⁶·exp(−6976 K/T)·days^0.75
//
// with the temperature T in kelvin: none below 3.149 V, where the rate would turn
// negative, and at most all of it.
func CalendarLoss(volt, degC, days float64) float64 {
	rate := max(ageingPerV*volt-ageingOffset, 0) * ageingScale * math.Exp(-ageingK/(max(degC, coldestDegC)+celsius))
	return min(rate*math.Pow(days, ageingExponent), 1)
}

// AgeingRange is by how much the loss of other cells than those of the paper may
// differ from it, as factors: cells of the same kind by a factor of two, those of
// another lithium chemistry by three.
func AgeingRange(c spec.Chemistry) (low, high float64) {
	if c == spec.LiIon {
		return ageingLow, ageingHigh
	}
	return ageingOtherLow, ageingOtherHigh
}

// calendar lists the constants of calendar ageing.
func calendar() []Constant {
	c := func(name, unit string, x float64, says string, s spec.Source) Constant {
		return Constant{name, unit, says, Param{x, s}}
	}
	spreads := recalled(spec.Handbook, "spread of the calendar life of cells of one chemistry, about a factor of two")
	others := recalled(spec.Handbook, "spread of the calendar life between lithium chemistries, about a factor of three")
	return []Constant{
		c("ageing_per_v", "1 per volt", ageingPerV, "calendar loss for each volt", schmalstieg("7.543 V − 23.75")),
		c("ageing_offset", "ratio", ageingOffset, "calendar loss, offset", schmalstieg("7.543 V − 23.75")),
		c("ageing_scale", "per day^0.75", ageingScale, "calendar loss, scale", schmalstieg("10⁶")),
		c("ageing_k", "k", ageingK, "calendar loss, activation energy over the gas constant: 58 kJ/mol", schmalstieg("exp(−6976/T)")),
		c("ageing_exponent", "ratio", ageingExponent, "calendar loss, power of the days", schmalstieg("t^0.75")),
		c("ageing_low", "ratio", ageingLow, "least loss of the paper's kind of cell against the paper's", spreads),
		c("ageing_high", "ratio", ageingHigh, "most loss of the paper's kind of cell against the paper's", spreads),
		c("ageing_other_low", "ratio", ageingOtherLow, "least loss of another lithium chemistry against the paper's", others),
		c("ageing_other_high", "ratio", ageingOtherHigh, "most loss of another lithium chemistry against the paper's", others),
	}
}
